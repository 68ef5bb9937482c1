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

// page collects what a report says, block by block, so that the same words can be written as text, as a web page and as Markdown.
type page struct {
	blocks []block
}

// block is a heading, a paragraph or a table.
type block struct {
	kind        blockKind
	first, rest int // indents of a paragraph's first line and of the others, in text
	text        string
	rows        [][]string // of a table; the first is the heading
}

type blockKind uint8

const (
	blockHeading blockKind = iota
	blockParagraph
	blockItem
	blockTable
)

// heading starts a section.
func (p *page) heading(title string) {
	p.blocks = append(p.blocks, block{kind: blockHeading, text: title})
}

// item adds one item of a list.
func (p *page) item(format string, args ...any) {
	p.blocks = append(p.blocks, block{kind: blockItem, first: 2, rest: 4, text: fmt.Sprintf(format, args...)})
}

// hang adds a paragraph whose first line is indented by first and the others by rest.
func (p *page) hang(first, rest int, s string) {
	p.blocks = append(p.blocks, block{kind: blockParagraph, first: first, rest: rest, text: s})
}

// table adds rows in columns; the first row is the heading. A row may be shorter than the others.
func (p *page) table(rows [][]string) {
	p.blocks = append(p.blocks, block{kind: blockTable, rows: rows})
}

// writeTo writes the page as text.
func (p *page) writeTo(w io.Writer) error {
	var t textPage
	for _, b := range p.blocks {
		switch b.kind {
		case blockHeading:
			t.heading(b.text)
		case blockItem:
			t.hang(b.first, b.rest, "- "+b.text)
		case blockParagraph:
			t.hang(b.first, b.rest, b.text)
		case blockTable:
			t.table(b.rows)
		}
	}
	_, err := w.Write(t.buf.Bytes())
	return err
}

// textPage lays a page out as text.
type textPage struct {
	buf bytes.Buffer
}

// heading starts a section.
func (p *textPage) heading(title string) {
	if p.buf.Len() > 0 {
		p.buf.WriteByte('\n')
	}
	p.buf.WriteString(title)
	p.buf.WriteByte('\n')
}

// hang writes a paragraph whose first line is indented by first and the others by rest. Words longer than a line are broken.
func (p *textPage) hang(first, rest int, s string) {
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
func (p *textPage) table(rows [][]string) {
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
