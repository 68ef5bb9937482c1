package form

import (
	"io"
	"strings"

	"example.com/borestack/align/record"
	"example.com/borestack/examples/bench/internal/draft"
)

// Page is one draft on its page.
type Page struct {
	Draft *draft.Draft
	shape string              // of the form as it was last written
	notes map[string]bool     // pointers that have a note there
	known map[string][]spoken // what was understood of a part, by the part's JSON
}

// NewPage puts a draft on a page.
func NewPage(d *draft.Draft) *Page { return &Page{Draft: d, known: map[string][]spoken{}} }

// Form writes the form as HTML.
func (p *Page) Form() string {
	b := build(p.Draft, false)
	p.shape, p.notes = build(p.Draft, true).String(), b.notes
	return b.String()
}

// Reshaped reports whether the form is to be written anew: names, units or choices in it have changed.
func (p *Page) Reshaped() bool { return build(p.Draft, true).String() != p.shape }

// Fill fills the draft with a table of readings, as the command does; the notes say what was understood of it.
func (p *Page) Fill(table io.Reader) ([]string, error) {
	rec, notes, err := record.Fill(strings.NewReader(string(p.Draft.JSON())), table)
	if err != nil {
		return nil, err
	}
	var b strings.Builder
	if err := rec.Encode(&b); err != nil {
		return nil, err
	}
	d, err := draft.Open(strings.NewReader(b.String()))
	if err != nil {
		return nil, err
	}
	p.Draft = d
	return notes, nil
}

// Record is the record as it would be saved: as the library writes it once it is whole.
func (p *Page) Record() string {
	text := p.Draft.JSON()
	rec, err := record.Decode(strings.NewReader(string(text)))
	if err != nil {
		return string(text)
	}
	var b strings.Builder
	if rec.Encode(&b) != nil {
		return string(text)
	}
	return b.String()
}
