package advise

import (
	"fmt"

	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/sheet"
	"example.com/borestack/tolerance"
)

// draft is a page that is being written, at the section that was begun last, and spells its lengths in one unit.
type draft struct {
	page *paper.Page
	*paper.Section
	spell.Lengths
	within tolerance.Length // of what they say: as amounts are held, and no finer than half a division or half of a last digit
}

// draftOf begins a page of that kind on what has that title.
func draftOf(kind, title string, unit tolerance.Unit) *draft {
	return &draft{page: paper.New(kind, title), Lengths: spell.Lengths{Unit: unit}}
}

// heading begins a section; its id is for links and programs.
func (p *draft) heading(id, format string, args ...any) {
	p.Section = p.page.Section(id, fmt.Sprintf(format, args...))
}

// done is the page, which goes by a format as JSON.
func (p *draft) done(format string) *sheet.Page { return sheet.New(p.page, format, nil) }
