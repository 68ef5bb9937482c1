package paper

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"unicode/utf8"

	"example.com/borestack/align/internal/spell"
)

// width is what a line of text keeps to, in characters.
const width = 98

// Text writes the page as text: a report with its verdict first and its title behind what must be
// read, a sheet with its title first. Items hang below a dash, tables stand in columns.
func (p *Page) Text(w io.Writer) error {
	t := text{table: 2}
	if p.Lead != "" {
		head := p.Lead
		if p.Word != "" {
			head = strings.ToUpper(p.Word) + ": " + head
		}
		t.hang(0, 2, head)
		for _, s := range p.More {
			t.hang(2, 4, s)
		}
		t.hang(2, 2, p.Title)
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
	var heads []string
	for _, c := range table.Columns {
		heads = append(heads, c.Head)
	}
	write(heads)
	below := ""
	for _, r := range table.Rows {
		if r.Group != "" {
			below = "  "
			write([]string{r.Group})
			continue
		}
		var cells []string
		for _, c := range r.Cells {
			cells = append(cells, c.Text)
		}
		cells[0] = below + cells[0]
		write(cells)
	}
	w.Flush() // writing to memory does not fail
	for line := range strings.Lines(buf.String()) {
		t.buf.WriteString(strings.TrimRight(line, " \n") + "\n")
	}
}
