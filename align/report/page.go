package report

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"unicode/utf8"
)

// columns is the width that text keeps to.
const columns = 98

// page collects text: headings, wrapped paragraphs and tables.
type page struct {
	buf bytes.Buffer
}

// heading starts a section.
func (p *page) heading(title string) {
	if p.buf.Len() > 0 {
		p.buf.WriteByte('\n')
	}
	p.buf.WriteString(title)
	p.buf.WriteByte('\n')
}

// item writes one item of a list, wrapped.
func (p *page) item(format string, args ...any) { p.hang(2, 4, "- "+fmt.Sprintf(format, args...)) }

// hang writes a paragraph whose first line is indented by first and the others by rest. Words longer than a line are broken.
func (p *page) hang(first, rest int, s string) {
	indent, used := first, 0
	for _, word := range strings.Fields(s) {
		for {
			n := utf8.RuneCountInString(word)
			switch {
			case used == 0:
				p.buf.WriteString(strings.Repeat(" ", indent))
				used = indent
			case used+1+n > columns:
				p.buf.WriteByte('\n')
				indent, used = rest, 0
				continue
			default:
				p.buf.WriteByte(' ')
				used++
			}
			if r := []rune(word); used+n > columns {
				p.buf.WriteString(string(r[:columns-used]))
				word, used = string(r[columns-used:]), columns
				continue
			}
			p.buf.WriteString(word)
			used += n
			break
		}
	}
	if used > 0 {
		p.buf.WriteByte('\n')
	}
}

// table writes rows in columns; the first row is the heading. A row may be shorter than the others.
func (p *page) table(rows [][]string) {
	var buf bytes.Buffer
	w := tabwriter.NewWriter(&buf, 0, 0, 2, ' ', 0)
	for _, r := range rows {
		// every row has as many cells as the heading, or the columns would start anew below it
		fmt.Fprintln(w, "  "+strings.Join(r, "\t")+strings.Repeat("\t", max(0, len(rows[0])-len(r))))
	}
	w.Flush() // writing to memory does not fail
	for line := range strings.Lines(buf.String()) {
		p.buf.WriteString(strings.TrimRight(line, " \n") + "\n")
	}
}

func (p *page) writeTo(w io.Writer) error {
	_, err := w.Write(p.buf.Bytes())
	return err
}
