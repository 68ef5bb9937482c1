package paper_test

import (
	"bytes"
	"strings"
	"testing"

	"example.com/borestack/align/internal/paper"
	"example.com/borestack/tolerance"
)

func written(t *testing.T, p *paper.Page) (text, markdown string) {
	t.Helper()
	var a, b bytes.Buffer
	if err := p.Text(&a); err != nil {
		t.Fatal(err)
	}
	if err := p.Markdown(&b); err != nil {
		t.Fatal(err)
	}
	return a.String(), b.String()
}

// number is an invented field.
func number(text string, v float64) paper.Cell {
	return paper.Cell{Text: text, Value: &v, Unit: "mm"}
}

// report is an invented report with one of everything.
func report() *paper.Page {
	p := &paper.Page{Title: "an invented box", Word: "fail", Lead: "the margin is outside", More: []string{"Do not draw it up."}}
	s := p.Section("limits", "Limits, in columns")
	s.InText = "Why"
	table := s.Table(paper.Words("limit"), paper.Numbers("room"))
	table.Row([]string{"/accept/0"}, paper.Cell{Text: "margin"}, number("-0.01 mm", -0.01))
	table.Told = []paper.Item{{Text: "fail: margin", More: []string{"outside by 0.01 mm"}}}
	s = p.Section("supports", "Supports")
	table = s.Table(paper.Words("support"), paper.Numbers("z", "room"))
	table.Row(nil, paper.Cell{Text: "alone"}, number("1", 1))
	table.Group("main:")
	table.Row(nil, paper.Cell{Text: "case/a"}, number("20", 20), number("0.1", 0.1))
	s.Text("All of %s.", "them")
	s.Line("first: bare").From("/joints/0")
	s.Item("second: marked")
	p.Section("wide", "No room").Wide = true
	p.Section("supports", "Supports again").Drawing([]string{"o--|  "})
	return p
}

func TestPage_text(t *testing.T) {
	got, _ := written(t, report())
	const want = `FAIL: the margin is outside
  an invented box
  Do not draw it up.

Why
  - fail: margin
      outside by 0.01 mm

Supports
  support   z   room
  alone     1
  main:
    case/a  20  0.1
  All of them.
  first: bare
  - second: marked

Supports again
      | o--|
`
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestPage_markdown(t *testing.T) {
	_, got := written(t, report())
	const want = "**FAIL**: The margin is outside\n\nDo not draw it up.\n\n# an invented box\n\n## Limits, in columns\n\n" +
		"| limit | room | in the record |\n| --- | ---: | --- |\n| margin | -0.01 mm | `/accept/0` |\n\n## Supports\n\n" +
		"| support | z | room |\n| --- | ---: | ---: |\n| alone | 1 |  |\n| **main:** |  |  |\n| case/a | 20 | 0.1 |\n\nAll of them.\n\n" +
		"- first: bare `/joints/0`\n\n- second: marked\n\n## No room\n\n## Supports again\n\n```text\no--|\n```\n"
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// A sheet has no verdict: it begins with its title, and its tables stand below its items.
func TestPage_sheet(t *testing.T) {
	p := &paper.Page{Title: "Work\tsheet"}
	p.Section("", "1. Über").Table(paper.Words("mark", "from")).Row(nil, paper.Cells("1", "12 | 6")...)
	text, markdown := written(t, p)
	if want := "Work sheet\n==========\n\n1. Über\n    mark  from\n    1     12 | 6\n"; text != want {
		t.Errorf("got\n%s\nwant\n%s", text, want)
	}
	if want := "# Work sheet\n\n## 1\\. Über\n\n| mark | from |\n| --- | --- |\n| 1 | 12 \\| 6 |\n"; markdown != want {
		t.Errorf("got\n%s\nwant\n%s", markdown, want)
	}
}

// A sentence begins with a capital, whatever letter it is.
func TestPage_leadBeginsWithACapital(t *testing.T) {
	p := &paper.Page{Title: "t", Word: "fail", Lead: "über all"}
	if text, markdown := written(t, p); !strings.HasPrefix(markdown, "**FAIL**: Über all\n") || !strings.HasPrefix(text, "FAIL: über all\n") {
		t.Errorf("%q, %q", text, markdown)
	}
}

func TestPage_section(t *testing.T) {
	p := &paper.Page{}
	var ids []string
	for _, id := range []string{"a", "b", "a", "", "a", ""} {
		ids = append(ids, p.Section(id, "").ID)
	}
	if got := strings.Join(ids, " "); got != "a b a-2  a-3 " {
		t.Errorf("ids %q", got)
	}
}

// Lines keep to the width, hang below their first, and a word that is longer than a line is broken.
func TestPage_width(t *testing.T) {
	p := &paper.Page{Title: "t"}
	p.Section("", "s").Item("%s %s", strings.Repeat("word ", 40), strings.Repeat("x", 300))
	text, _ := written(t, p)
	lines := strings.Split(strings.TrimRight(text, "\n"), "\n")[4:]
	if n := strings.Count(strings.Join(lines, ""), "x"); n != 300 {
		t.Errorf("%d of 300 characters are left", n)
	}
	for i, line := range lines[1:] {
		if i == 0 && !strings.HasPrefix(lines[0], "  - word") {
			t.Errorf("no mark: %q", lines[0])
		}
		if len(line) > 98 || i < 2 && !strings.HasPrefix(line, "    word") {
			t.Errorf("%d characters: %q", len(line), line)
		}
	}
}

// A web page shows a table group by group.
func TestTable_groups(t *testing.T) {
	table := report().Sections[1].Blocks[0].Table
	g := table.Groups()
	if len(g) != 2 || len(g[0]) != 1 || len(g[1]) != 2 || g[1][0].Group != "main:" || table.Sourced() {
		t.Errorf("groups %+v, sourced %v", g, table.Sourced())
	}
}

// A clock points where it is told; a crossed one has 3 and 9 o'clock change places; captions are below.
func TestSection_clocks(t *testing.T) {
	s := (&paper.Page{}).Section("", "")
	s.Clocks(paper.Arrow("to 3", 90*tolerance.Degree), paper.Crossed("turned"), paper.Middle("none"))
	const want = `   .  12   .            .  12   .            .  12   .
 .           .        .     ↑     .        .           .
                            *
9      o ** → 3      3      o      9      9      o      3

 .           .        .           .        .           .
   .   6   .            .   6   .            .   6   .
     to 3                turned                none
`
	var got strings.Builder
	for _, row := range s.Blocks[0].Drawing {
		got.WriteString(strings.TrimRight(row, " ") + "\n")
	}
	if got.String() != want {
		t.Errorf("got\n%s\nwant\n%s", got.String(), want)
	}
}
