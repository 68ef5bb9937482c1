package paper

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"example.com/borestack/align/internal/spell"
)

// Markdown writes the page in headings, lists and tables (CommonMark with tables), without
// pictures: a report with its verdict in the first line, a sheet with its title. Texts are escaped:
// none makes a link, a mention, markup or a row of its own.
func (p *Page) Markdown(w io.Writer) error {
	var m markdown
	if p.Lead != "" {
		fmt.Fprintf(&m.buf, "**%s**: %s\n", strings.ToUpper(p.Word), Escaped(spell.Upper(p.Lead)))
		for _, s := range p.More {
			m.paragraph(s)
		}
		m.buf.WriteByte('\n')
		for _, s := range p.Do {
			m.item(Item{Text: s})
		}
		if len(p.Do) > 0 {
			m.buf.WriteByte('\n')
		}
	}
	fmt.Fprintf(&m.buf, "# %s\n", Escaped(p.Title))
	for _, s := range p.Sections {
		m.section(s)
	}
	_, err := m.buf.WriteTo(w)
	return err
}

// markdown writes one page.
type markdown struct {
	buf bytes.Buffer
}

func (m *markdown) section(s *Section) {
	fmt.Fprintf(&m.buf, "\n## %s\n", Escaped(s.Title))
	for _, b := range s.Blocks {
		switch {
		case b.Table != nil:
			m.table(b.Table)
		case len(b.List) > 0:
			m.buf.WriteByte('\n')
			for _, i := range b.List {
				m.item(i)
			}
		case len(b.Drawing) > 0:
			m.buf.WriteString("\n```text\n")
			for _, row := range b.Drawing {
				m.buf.WriteString(strings.TrimRight(row, " ") + "\n")
			}
			m.buf.WriteString("```\n")
		default:
			m.paragraph(b.Text)
		}
	}
}

func (m *markdown) paragraph(s string) { fmt.Fprintf(&m.buf, "\n%s\n", Escaped(s)) }

func (m *markdown) item(i Item) {
	m.buf.WriteString("- " + Escaped(i.Text))
	for _, s := range i.More {
		m.buf.WriteString("; " + Escaped(s))
	}
	if at := codes(i.At, " "); at != "" {
		m.buf.WriteString(" " + at)
	}
	m.buf.WriteByte('\n')
}

func (m *markdown) table(t *Table) {
	if t.Caption != "" {
		m.paragraph(t.Caption)
	}
	sourced := t.Sourced()
	row := func(cells []string) { m.buf.WriteString("| " + strings.Join(cells, " | ") + " |\n") }
	head, rule := []string{}, []string{}
	for _, c := range t.Columns {
		head = append(head, inline(c.Head))
		rule = append(rule, map[bool]string{false: "---", true: "---:"}[c.Number])
	}
	if sourced {
		head, rule = append(head, "in the record"), append(rule, "---")
	}
	m.buf.WriteByte('\n')
	row(head)
	row(rule)
	for _, r := range t.Rows {
		var cells []string
		if r.Group != "" {
			cells = []string{"**" + inline(r.Group) + "**"}
		}
		for _, c := range r.Cells {
			text := inline(c.Text)
			if c.Verdict {
				text = "**" + text + "**"
			}
			for _, small := range c.Small {
				text += "; " + inline(small)
			}
			cells = append(cells, text)
		}
		for len(cells) < len(t.Columns) {
			cells = append(cells, "")
		}
		if sourced {
			cells = append(cells, codes(r.At, ", "))
		}
		row(cells)
	}
}

// codes are pointers as code.
func codes(at []string, between string) string { return strings.Join(spell.Mapped(at, code), between) }

// code is a text as code, in a table or out of it; what could end it, or the cell, is left out for
// a plain text.
func code(s string) string {
	if s = spell.Clean(s); strings.ContainsAny(s, "`|\\") {
		return Escaped(s)
	}
	return "`" + s + "`"
}

// apart is a word joiner: no sign to see, and what stands on its two sides is no longer one word to
// a program that looks for mentions and numbers of tickets.
const apart = "\u2060"

// Escaped makes a text of one line that Markdown shows as it is, wherever it stands: what would
// begin a list or a heading at the start of a line does not.
func Escaped(s string) string {
	s = inline(s)
	if s == "" {
		return ""
	}
	if strings.Trim(s, "-+=") == "" || strings.HasPrefix(s, "- ") || strings.HasPrefix(s, "+ ") {
		return "\\" + s
	}
	return numbered(s)
}

// inline makes a text of one line that Markdown shows as it is within a line.
func inline(s string) string {
	s = strings.Join(strings.Fields(spell.Clean(s)), " ")
	var b strings.Builder
	runes := []rune(s)
	for i, r := range runes {
		next := rune(0)
		if i+1 < len(runes) {
			next = runes[i+1]
		}
		switch r {
		case '\\', '`', '*', '_', '[', ']', '<', '>', '|', '&', '~', '$', '^', '{', '}', '!':
			b.WriteByte('\\')
		case '@', '#':
			b.WriteString("\\" + string(r) + apart)
			continue
		case ':', '.':
			// "name://" and "www.name" become links by themselves, and so do plain host names in
			// some tickets
			if next != ' ' && next != 0 && (next < '0' || next > '9') {
				b.WriteByte('\\')
			}
		}
		b.WriteRune(r)
	}
	return b.String()
}

// numbered keeps a text that begins with a number and a full stop or a bracket from beginning a
// list.
func numbered(s string) string {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	if n > 0 && n < len(s) && (s[n] == '.' || s[n] == ')') && (n+1 == len(s) || s[n+1] == ' ') {
		return s[:n] + "\\" + s[n:]
	}
	return s
}
