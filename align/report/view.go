package report

import "strings"

// A chapter is one section of the page or of the Markdown form: the words of the text report, each with where in the record it comes from, and pictures.
type chapter struct {
	ID, Title string
	Passages  []passage
	Beside    []picture // beside the words
	Gallery   []picture // below them
}

// passage is a paragraph, a list or a table: one of the three.
type passage struct {
	Text  string
	List  []entry
	Table *sheet
}

// entry is one item of a list.
type entry struct {
	Text string
	More []string // what belongs to it, on lines of its own
	At   []string // pointers
}

// sheet is a table.
type sheet struct {
	Caption string
	Head    []string
	Right   []bool // columns of numbers
	Rows    []sheetRow
	Key     int // the column that names the rows
}

// sheetRow is one row; a group row has one cell, which names those below it.
type sheetRow struct {
	Cells []cell
	Group bool
	At    []string
}

// cell is what one field of a table says.
type cell struct {
	Text  string
	Value *float64 // as the JSON report has it; nil: it says no number, or several
	Word  string   // a verdict
	Small []string
}

// Sourced reports whether any row says where it comes from.
func (s *sheet) Sourced() bool {
	for _, r := range s.Rows {
		if len(r.At) > 0 {
			return true
		}
	}
	return false
}

// rowGroup is the rows below one group row; without one it has no name.
type rowGroup struct {
	Name string
	Rows []sheetRow
}

// Groups are the rows by group.
func (s *sheet) Groups() []rowGroup {
	var out []rowGroup
	for _, r := range s.Rows {
		switch {
		case r.Group:
			out = append(out, rowGroup{Name: r.Cells[0].Text})
			continue
		case len(out) == 0:
			out = append(out, rowGroup{})
		}
		out[len(out)-1].Rows = append(out[len(out)-1].Rows, r)
	}
	return out
}

// Columns is how many columns a group row spans.
func (s *sheet) Columns() int {
	if s.Sourced() {
		return len(s.Head) + 1
	}
	return len(s.Head)
}

// collect runs one part of the text report and returns its sections as chapters.
func (t *teller) collect(say func()) []chapter {
	keep := t.page
	t.page = &page{}
	say()
	blocks := t.page.blocks
	t.page = keep
	var out []chapter
	for _, b := range blocks {
		if b.kind == blockHeading {
			out = append(out, chapter{Title: upperFirst(b.text)})
			continue
		}
		if len(out) == 0 {
			out = append(out, chapter{})
		}
		out[len(out)-1].add(b)
	}
	return out
}

// add appends a block of the text report.
func (c *chapter) add(b block) {
	var last *passage
	if n := len(c.Passages); n > 0 {
		last = &c.Passages[n-1]
	}
	switch {
	case b.kind == blockTable:
		c.Passages = append(c.Passages, passage{Table: sheetOf(b.rows)})
	case b.kind == blockParagraph && b.first > 2 && last != nil && len(last.List) > 0:
		e := &last.List[len(last.List)-1]
		e.More = append(e.More, b.text)
	case b.kind == blockItem || b.rest > b.first:
		if last == nil || len(last.List) == 0 {
			c.Passages = append(c.Passages, passage{})
			last = &c.Passages[len(c.Passages)-1]
		}
		last.List = append(last.List, entry{Text: b.text})
	default:
		c.Passages = append(c.Passages, passage{Text: b.text})
	}
}

// sheetOf is a table of the text report. Its first column names the rows; a row of one cell names a group.
func sheetOf(rows [][]string) *sheet {
	s := &sheet{Head: rows[0], Right: make([]bool, len(rows[0]))}
	for _, r := range rows[1:] {
		row := sheetRow{Group: len(r) == 1 && len(s.Head) > 1}
		for _, text := range r {
			row.Cells = append(row.Cells, cell{Text: strings.TrimSpace(text)})
		}
		for !row.Group && len(row.Cells) < len(s.Head) {
			row.Cells = append(row.Cells, cell{})
		}
		s.Rows = append(s.Rows, row)
	}
	for k := range s.Right {
		s.Right[k] = k > 0 && s.numeric(k)
	}
	return s
}

// numeric reports whether every cell of a column is a number, perhaps with its unit, or says nothing.
func (s *sheet) numeric(k int) bool {
	some := false
	for _, r := range s.Rows {
		if r.Group {
			continue
		}
		switch first := strings.TrimPrefix(r.Cells[k].Text, "-"); {
		case first == "":
		case first[0] < '0' || first[0] > '9' || strings.Contains(first, ":"):
			return false
		default:
			some = true
		}
	}
	return some
}

// table is the chapter's first table; nil when there is none.
func (c *chapter) table() *sheet {
	for i := range c.Passages {
		if c.Passages[i].Table != nil {
			return c.Passages[i].Table
		}
	}
	return nil
}

// list is the chapter's first list; nil when there is none.
func (c *chapter) list() []entry {
	for i := range c.Passages {
		if len(c.Passages[i].List) > 0 {
			return c.Passages[i].List
		}
	}
	return nil
}

// rowsFrom sets where the rows of the chapter's first table come from, group rows passed over.
func (c *chapter) rowsFrom(at func(i int) []string) {
	s := c.table()
	if s == nil {
		return
	}
	i := 0
	for k := range s.Rows {
		if !s.Rows[k].Group {
			s.Rows[k].At = at(i)
			i++
		}
	}
}

// itemsFrom sets where the items of the chapter's first list come from.
func (c *chapter) itemsFrom(at func(i int) []string) {
	for i, list := 0, c.list(); i < len(list); i++ {
		list[i].At = at(i)
	}
}
