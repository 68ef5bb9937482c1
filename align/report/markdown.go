package report

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
)

// Markdown writes the report of res, which [study.Run] made of rec, for a ticket: the verdict in the first line, then what [HTML] says, in headings, lists and tables (CommonMark with tables), without pictures. Texts of the record are escaped: none makes a link, a mention, markup or a row of its own. The same record and result give the same bytes.
//
// A number that is not finite, and a result that is not of the record, are errors as for [JSON]. On error nothing is written.
func Markdown(w io.Writer, rec *record.Record, res *study.Result) error {
	v, err := newViewer(rec, res)
	if err != nil {
		return err
	}
	facts, _, err := v.provenance()
	if err != nil {
		return err
	}
	var m markdown
	verdict, more := v.lead()
	fmt.Fprintf(&m.buf, "**%s**: %s\n", strings.ToUpper(res.Word.String()), escaped(verdict))
	for _, s := range more {
		m.paragraph(s)
	}
	fmt.Fprintf(&m.buf, "\n# %s\n", escaped(v.title()))
	for _, c := range v.chapters() {
		m.chapter(&c)
	}
	m.buf.WriteString("\n## Provenance\n\n")
	for _, f := range facts {
		m.item(entry{Text: f.What + ": " + f.Is})
	}
	_, err = m.buf.WriteTo(w)
	return err
}

// markdown writes one report.
type markdown struct {
	buf bytes.Buffer
}

func (m *markdown) chapter(c *chapter) {
	fmt.Fprintf(&m.buf, "\n## %s\n", escaped(c.Title))
	for _, p := range c.Passages {
		switch {
		case p.Table != nil:
			m.table(p.Table)
		case len(p.List) > 0:
			m.buf.WriteByte('\n')
			for _, e := range p.List {
				m.item(e)
			}
		default:
			m.paragraph(p.Text)
		}
	}
}

func (m *markdown) paragraph(s string) { fmt.Fprintf(&m.buf, "\n%s\n", escaped(s)) }

func (m *markdown) item(e entry) {
	m.buf.WriteString("- " + escaped(e.Text))
	for _, s := range e.More {
		m.buf.WriteString("; " + escaped(s))
	}
	if at := codes(e.At, " "); at != "" {
		m.buf.WriteString(" " + at)
	}
	m.buf.WriteByte('\n')
}

func (m *markdown) table(s *sheet) {
	if s.Caption != "" {
		m.paragraph(s.Caption)
	}
	sourced := s.Sourced()
	row := func(cells []string) { m.buf.WriteString("| " + strings.Join(cells, " | ") + " |\n") }
	head, rule := []string{}, []string{}
	for k, h := range s.Head {
		head = append(head, inline(h))
		rule = append(rule, map[bool]string{false: "---", true: "---:"}[s.Right[k]])
	}
	if sourced {
		head, rule = append(head, "in the record"), append(rule, "---")
	}
	m.buf.WriteByte('\n')
	row(head)
	row(rule)
	for _, r := range s.Rows {
		var cells []string
		for _, c := range r.Cells {
			text := inline(c.Text)
			if c.Word != "" || r.Group {
				text = "**" + text + "**"
			}
			for _, small := range c.Small {
				text += "; " + inline(small)
			}
			cells = append(cells, text)
		}
		for len(cells) < len(s.Head) {
			cells = append(cells, "")
		}
		if sourced {
			cells = append(cells, codes(r.At, ", "))
		}
		row(cells)
	}
}

// codes are pointers as code.
func codes(at []string, between string) string {
	var out []string
	for _, a := range at {
		out = append(out, code(a))
	}
	return strings.Join(out, between)
}

// code is a text as code, in a table or out of it; what could end it, or the cell, is left out for a plain text.
func code(s string) string {
	if s = spell.Clean(s); strings.ContainsAny(s, "`|\\") {
		return escaped(s)
	}
	return "`" + s + "`"
}

// apart is a word joiner: no sign to see, and what stands on its two sides is no longer one word to a program that looks for mentions and numbers of tickets.
const apart = "\u2060"

// escaped makes a text of one line that Markdown shows as it is, wherever it stands: what would begin a list or a heading at the start of a line does not.
func escaped(s string) string {
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
			// "name://" and "www.name" become links by themselves, and so do plain host names in some tickets
			if next != ' ' && next != 0 && (next < '0' || next > '9') {
				b.WriteByte('\\')
			}
		}
		b.WriteRune(r)
	}
	return b.String()
}

// numbered keeps a text that begins with a number and a full stop or a bracket from beginning a list.
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
