package advise

import (
	"fmt"
	"io"
	"slices"

	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// Page is a sheet to hand over, as data.
type Page struct{ page paper.Page }

// Text writes the page for a screen or a printer.
func (p *Page) Text(w io.Writer) error { return p.page.Text(w) }

// Markdown writes the page for a ticket.
func (p *Page) Markdown(w io.Writer) error { return p.page.Markdown(w) }

// sheet is a page that is being written, at the section that was begun last, and spells its lengths in one unit.
type sheet struct {
	Page
	*paper.Section
	spell.Lengths
	within tolerance.Length // of what they say: as amounts are held, and no finer than half a division or half of a last digit
}

// sheetOf begins a sheet of that kind on what has that title.
func sheetOf(kind, title string, unit tolerance.Unit) *sheet {
	if title != "" {
		kind += ": " + title
	}
	return &sheet{Page: Page{paper.Page{Title: kind}}, Lengths: spell.Lengths{Unit: unit}}
}

// heading begins a section.
func (p *sheet) heading(format string, args ...any) {
	p.Section = p.page.Section("", fmt.Sprintf(format, args...))
}

// table adds a table to the section.
func (p *sheet) table(columns ...[]paper.Column) *paper.Table {
	return p.Table(slices.Concat(columns...)...)
}

// cell is a length in a column, as it is spelled and in full.
func (p *sheet) cell(text string, l tolerance.Length) paper.Cell {
	return paper.Number(text, l.In(p.Unit), p.Unit.String())
}
