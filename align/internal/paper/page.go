// Package paper is what is written, as data: a page of sections, each of paragraphs, lists, tables
// and drawings, whose fields know their number and where in a record they come from. Text, Markdown,
// JSON and a web page are writers of that data, for reports and sheets alike. Nothing about a page is
// found out from how it was written.
//
//   - page.go: the data, and how it is put together; clock.go: clocks with arrows, drawn in characters
//   - text.go: for a screen or a printer, up to 98 characters wide, and the first screen of a report alone
//   - markdown.go: for a ticket; json.go: for a program; web.go: for a browser
package paper

import (
	"fmt"
	"slices"
	"strings"

	"example.com/borestack/align/internal/spell"
	"example.com/borestack/internal/ieee"
)

// Page is one report or sheet. Its tags, and those of what it is made of, are for [Page.JSON].
type Page struct {
	Title string `json:"title"`

	// Lead is the sentence that a report begins with, behind Word, its verdict; More is what else
	// must be read if nothing below is. A sheet has none of these, and begins with its title.
	Word string   `json:"-"`
	Lead string   `json:"-"`
	More []string `json:"-"`

	// The rest of the first screen of a report: one picture in characters with its title, and what to do.
	Sketch  string    `json:"-"`
	Drawing []string  `json:"-"`
	Picture []Picture `json:"-"` // the same for a web page
	Do      []string  `json:"-"`

	Sections []*Section `json:"sections"`
}

// Section is one section. Its ID is for links within a web page.
type Section struct {
	ID      string    `json:"id"`
	Title   string    `json:"title"`
	InText  string    `json:"-"` // its title in text, where that is another
	Wide    bool      `json:"-"` // there is no room for it in text
	Blocks  []Block   `json:"blocks"`
	Beside  []Picture `json:"-"` // beside the words, where there is room
	Gallery []Picture `json:"-"` // below them
}

// Picture is a drawing in SVG, for a web page; its name is that of a file of its own.
type Picture struct{ Caption, SVG, Name string }

// Web is what a web page has besides: what it was made of, and the record that its pointers lead into, line
// by line, with the anchors of the pointers that lead to one. The zero value is none of it.
type Web struct {
	Facts   []Fact
	Record  []Line
	Anchors map[string]string
}

// Fact is one thing that a page was made of or by.
type Fact struct{ What, Is string }

// Line is one line of a record, and the anchor of the value that begins on it where something leads there.
type Line struct{ ID, Text string }

// Block is a paragraph, a list, a table or a drawing in characters: one of the four.
type Block struct {
	Text    string   `json:"text,omitempty"`
	List    []Item   `json:"list,omitempty"`
	Bare    bool     `json:"-"` // the list's items bear no mark in text
	Table   *Table   `json:"table,omitempty"`
	Drawing []string `json:"-"`
}

// Item is one item of a list: its text, what belongs to it on lines of its own, pointers to what it
// rests on, and the numbers that it tells, for a program.
type Item struct {
	Text   string   `json:"text"`
	More   []string `json:"more,omitempty"`
	At     []string `json:"-"`
	Values []Value  `json:"values,omitempty"`
}

// Value is a number that an item tells, in full; the unit is empty for a ratio or a count.
type Value struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit,omitempty"`
}

// Tells adds a number that the item tells; none that is not finite.
func (i *Item) Tells(name string, v float64, unit string) *Item {
	if ieee.Finite(v) {
		i.Values = append(i.Values, Value{name, v, unit})
	}
	return i
}

// Table is a table. A row says something in every column, or names the rows below it.
type Table struct {
	Caption string   `json:"-"`
	Columns []Column `json:"columns"`
	Key     int      `json:"-"` // the column that names the rows
	Rows    []Row    `json:"rows"`
	Told    []Item   `json:"-"` // the same as a list, which takes its place in text
	Wide    bool     `json:"-"` // there is no room for it in text
}

// Column is a column's head, and whether it holds numbers.
type Column struct {
	Head   string
	Number bool
}

// Row is one row with the pointers that it rests on, or the name of the rows below it.
type Row struct {
	Group string
	Cells []Cell
	At    []string
}

// Cell is what one field says.
type Cell struct {
	Text    string   `json:"text"`
	Value   *float64 `json:"value,omitempty"` // in Unit, in full; nil: it says no number, or several
	Unit    string   `json:"unit,omitempty"`  // empty for a ratio or a count
	Verdict bool     `json:"-"`               // the text is the word of a verdict
	Small   []string `json:"-"`               // what belongs to it
}

// New is a page of that kind on what has that title; empty: on nothing that has one.
func New(kind, title string) *Page {
	if title != "" {
		kind += ": " + title
	}
	return &Page{Title: kind}
}

// Section adds a section. One of an id that is there already gets a number to its own.
func (p *Page) Section(id, title string) *Section {
	n := 1
	for _, s := range p.Sections {
		if s.ID == id || strings.HasPrefix(s.ID, id+"-") {
			n++
		}
	}
	if id != "" && n > 1 {
		id = fmt.Sprintf("%s-%d", id, n)
	}
	s := &Section{ID: id, Title: title, Blocks: []Block{}}
	p.Sections = append(p.Sections, s)
	return s
}

// List adds a section that is a list; none of an empty one.
func (p *Page) List(id, title string, items ...string) { p.list(false, id, title, items) }

// Lines is the same of a list whose items bear no mark in text.
func (p *Page) Lines(id, title string, items ...string) { p.list(true, id, title, items) }

func (p *Page) list(bare bool, id, title string, items []string) {
	if len(items) > 0 {
		s := p.Section(id, title)
		for _, i := range items {
			s.item(bare, "%s", i)
		}
	}
}

// Text adds a paragraph.
func (s *Section) Text(format string, args ...any) {
	s.Blocks = append(s.Blocks, Block{Text: fmt.Sprintf(format, args...)})
}

// Item adds an item to the list that the section ends with, or begins one.
func (s *Section) Item(format string, args ...any) *Item { return s.item(false, format, args...) }

// When adds an item where ok.
func (s *Section) When(ok bool, format string, args ...any) {
	if ok {
		s.Item(format, args...)
	}
}

// Line is Item for a list whose items bear no mark in text.
func (s *Section) Line(format string, args ...any) *Item { return s.item(true, format, args...) }

func (s *Section) item(bare bool, format string, args ...any) *Item {
	n := len(s.Blocks)
	if n == 0 || len(s.Blocks[n-1].List) == 0 || s.Blocks[n-1].Bare != bare {
		s.Blocks, n = append(s.Blocks, Block{Bare: bare}), n+1
	}
	b := &s.Blocks[n-1]
	b.List = append(b.List, Item{Text: fmt.Sprintf(format, args...)})
	return &b.List[len(b.List)-1]
}

// From sets the pointers that an item rests on.
func (i *Item) From(at ...string) { i.At = at }

// Drawing adds lines that are shown as they are.
func (s *Section) Drawing(rows []string) { s.Blocks = append(s.Blocks, Block{Drawing: rows}) }

// Table adds a table.
func (s *Section) Table(columns ...[]Column) *Table {
	t := &Table{Columns: slices.Concat(columns...), Rows: []Row{}}
	s.Blocks = append(s.Blocks, Block{Table: t})
	return t
}

// Words are columns of words.
func Words(heads ...string) []Column { return columns(heads, false) }

// Numbers are columns of numbers.
func Numbers(heads ...string) []Column { return columns(heads, true) }

func columns(heads []string, number bool) []Column {
	return spell.Mapped(heads, func(h string) Column { return Column{h, number} })
}

// Row adds a row; columns that it says nothing in are empty.
func (t *Table) Row(at []string, cells ...Cell) {
	for len(cells) < len(t.Columns) {
		cells = append(cells, Cell{})
	}
	t.Rows = append(t.Rows, Row{Cells: cells, At: at})
}

// Group names the rows that follow.
func (t *Table) Group(name string) { t.Rows = append(t.Rows, Row{Group: name}) }

// Cells are fields of words.
func Cells(texts ...string) []Cell {
	return spell.Mapped(texts, func(s string) Cell { return Cell{Text: s} })
}

// Number is a field that tells a number as it is spelled, and knows it in full where it is one.
func Number(text string, v float64, unit string) Cell {
	if !ieee.Finite(v) {
		return Cell{Text: text}
	}
	if v == 0 {
		v = 0 // without a sign
	}
	return Cell{Text: text, Value: &v, Unit: unit}
}

// Verdict is a field that tells the word of a verdict.
func Verdict(word fmt.Stringer) Cell { return Cell{Text: word.String(), Verdict: true} }

// Sourced reports whether any row says what it rests on.
func (t *Table) Sourced() bool {
	return slices.ContainsFunc(t.Rows, func(r Row) bool { return len(r.At) > 0 })
}

// Groups are the rows by group, each behind the row that names it; rows before any name come first.
func (t *Table) Groups() (out [][]Row) {
	for _, r := range t.Rows {
		if r.Group != "" || len(out) == 0 {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], r)
	}
	return out
}
