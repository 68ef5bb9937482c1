package paper

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"
	"unicode/utf8"

	"example.com/borestack/align/internal/spell"
)

// width is what a line of text keeps to, in characters.
const width = 98

// screen is how many lines a first screen has; one is kept for what stands below it.
const screen = 24 - 1

// Text writes the page as text: a report with its first screen first (verdict, what else must be read, one picture, what to
// do), a sheet with its title. Items hang below a dash, tables stand in columns. What the first screen has no room for comes
// right below it.
func (p *Page) Text(w io.Writer) error {
	t := text{table: 2}
	if p.Lead != "" {
		if rest := t.first(p); len(rest) > 0 {
			s := &Section{Title: "The first lines in full"}
			for _, line := range rest {
				s.Item("%s", line)
			}
			t.section(s)
		}
	} else if title := spell.Clean(p.Title); title != "" {
		t.table = 4 // below the items of a sheet
		t.buf.WriteString(title + "\n" + strings.Repeat("=", min(width, utf8.RuneCountInString(title))) + "\n")
	}
	for _, s := range p.Sections {
		if !s.Wide {
			t.section(s)
		}
	}
	_, err := w.Write(t.buf.Bytes())
	return err
}

// Short writes the first screen of a report alone: at most 23 lines of 98 columns.
func (p *Page) Short(w io.Writer) error {
	var t text
	t.first(p)
	_, err := w.Write(t.buf.Bytes())
	return err
}

// first writes the first screen, and returns what it shortened or left out: what comes last of what must be read goes first.
func (t *text) first(p *Page) (rest []string) {
	head := p.Lead
	if p.Word != "" {
		head = strings.ToUpper(p.Word) + ": " + head
	}
	keep := func(first, hang, most int, s string) []string {
		lines, cut := short(first, hang, most, s)
		if cut {
			rest = append(rest, s)
		}
		return lines
	}
	lead := keep(0, 2, 6, head)
	var do, picture []string
	for i, s := range p.Do {
		do = append(do, keep(4, 7, 3, fmt.Sprintf("%d. %s", i+1, s))...)
	}
	if len(do) > 0 {
		do = append([]string{"  To do"}, do...)
	}
	if len(p.Drawing) > 0 {
		picture = append(picture, "  "+p.Sketch)
		picture = append(picture, spell.Mapped(p.Drawing, func(row string) string { return strings.TrimRight("    "+row, " ") })...)
	}
	title, _ := short(2, 2, 1, p.Title)
	room := screen - len(lead) - len(title) - len(picture) - len(do)
	var more []string
	for i, s := range p.More {
		// one line is kept to say that more is below
		lines, cut := short(2, 4, 3, s)
		last := len(more)+len(lines)+min(len(p.More)-1-i, 1) > room
		if last {
			more, rest = append(more, "  ..."), append(rest, p.More[i:]...)
			break
		}
		if cut {
			rest = append(rest, s)
		}
		more = append(more, lines...)
	}
	for _, line := range slices.Concat(lead, title, more, picture, do) {
		t.buf.WriteString(line + "\n")
	}
	return rest
}

// short is a hanging paragraph in at most most lines; cut: there was more.
func short(first, hang, most int, s string) (lines []string, cut bool) {
	var t text
	t.hang(first, hang, s)
	lines = strings.Split(strings.TrimSuffix(t.buf.String(), "\n"), "\n")
	if lines[0] == "" {
		return nil, false
	}
	if cut = len(lines) > most; cut {
		r := []rune(lines[most-1])
		lines = append(lines[:most-1:most-1], string(r[:min(len(r), width-4)])+" ...")
	}
	return lines, cut
}

// text lays a page out.
type text struct {
	buf   bytes.Buffer
	table int // how far tables are indented
}

func (t *text) section(s *Section) {
	title := s.InText
	if title == "" {
		title = s.Title
	}
	if title != "" {
		if t.buf.Len() > 0 {
			t.buf.WriteByte('\n')
		}
		t.buf.WriteString(spell.Clean(title) + "\n")
	}
	for _, b := range s.Blocks {
		switch {
		case b.Table != nil && len(b.Table.Told) > 0:
			t.list(b.Table.Told, false)
		case b.Table != nil && !b.Table.Wide:
			t.columns(b.Table)
		case len(b.List) > 0:
			t.list(b.List, b.Bare)
		case len(b.Drawing) > 0:
			for _, row := range b.Drawing {
				t.buf.WriteString(strings.TrimRight("      | "+row, " ") + "\n")
			}
		default:
			t.hang(2, 2, b.Text)
		}
	}
}

func (t *text) list(items []Item, bare bool) {
	mark, rest := "- ", 6
	if bare {
		mark, rest = "", 8
	}
	for _, i := range items {
		t.hang(2, 4, mark+i.Text)
		for _, s := range i.More {
			t.hang(6, rest, s)
		}
	}
}

// hang writes a paragraph whose first line is indented by first and the others by rest. Words
// longer than a line are broken.
func (t *text) hang(first, rest int, s string) {
	indent, used := first, 0
	for _, word := range strings.Fields(spell.Clean(s)) {
		for {
			n := utf8.RuneCountInString(word)
			switch {
			case used == 0:
				t.buf.WriteString(strings.Repeat(" ", indent))
				used = indent
			case used+1+n > width:
				t.buf.WriteByte('\n')
				indent, used = rest, 0
				continue
			default:
				t.buf.WriteByte(' ')
				used++
			}
			if r := []rune(word); used+n > width {
				t.buf.WriteString(string(r[:width-used]))
				word, used = string(r[width-used:]), width
				continue
			}
			t.buf.WriteString(word)
			used += n
			break
		}
	}
	if used > 0 {
		t.buf.WriteByte('\n')
	}
}

// columns writes a table; the rows of a group are indented below its name.
func (t *text) columns(table *Table) {
	var buf bytes.Buffer
	w := tabwriter.NewWriter(&buf, 0, 0, 2, ' ', 0)
	indent := strings.Repeat(" ", t.table)
	write := func(cells []string) {
		for i := range cells {
			cells[i] = spell.Clean(cells[i])
		}
		// every row has as many cells as the heading, or the columns would start anew below it
		for len(cells) < len(table.Columns) {
			cells = append(cells, "")
		}
		fmt.Fprintln(w, indent+strings.Join(cells, "\t"))
	}
	write(spell.Mapped(table.Columns, func(c Column) string { return c.Head }))
	below := ""
	for _, r := range table.Rows {
		if r.Group != "" {
			below = "  "
			write([]string{r.Group})
			continue
		}
		cells := spell.Mapped(r.Cells, func(c Cell) string { return c.Text })
		cells[0] = below + cells[0]
		write(cells)
	}
	w.Flush() // writing to memory does not fail
	for line := range strings.Lines(buf.String()) {
		t.buf.WriteString(strings.TrimRight(line, " \n") + "\n")
	}
}
