// Package sheet is what an answer is handed over as: a page as data, written as text, as Markdown, as JSON or as
// one page of the web with its pictures. The questions' packages make pages; every number is told once.
package sheet

import (
	"io"
	"slices"

	"example.com/borestack/align/internal/paper"
)

// Page is a sheet to hand over. The zero value is a blank one.
type Page struct {
	page   paper.Page
	format string
	draw   func() ([]paper.Picture, error)
}

// New is a page that goes by a format as JSON, and whose pictures are drawn where they are asked for; nil:
// it has none.
func New(p *paper.Page, format string, draw func() ([]paper.Picture, error)) *Page {
	return &Page{*p, format, draw}
}

// Text writes the page for a screen or a printer.
func (p *Page) Text(w io.Writer) error { return p.page.Text(w) }

// Markdown writes the page for a ticket.
func (p *Page) Markdown(w io.Writer) error { return p.page.Markdown(w) }

// JSON writes the page for a program: its sections in order, with the numbers in full.
func (p *Page) JSON(w io.Writer) error { return p.page.JSON(w, p.format) }

// HTML writes the page for a browser, self-contained with its pictures. In a program that runs in one its
// error wraps [errors.ErrUnsupported].
func (p *Page) HTML(w io.Writer) error {
	web, pictures, err := p.page, []paper.Picture(nil), error(nil)
	if p.draw != nil {
		if pictures, err = p.draw(); err != nil {
			return err
		}
	}
	if len(pictures) > 0 {
		web.Sections = append(slices.Clip(web.Sections), &paper.Section{ID: "pictures", Title: "Pictures", Gallery: pictures})
	}
	return web.HTML(w, paper.Web{})
}

// Pictures draws the page's pictures, as SVG by name.
func (p *Page) Pictures() (map[string][]byte, error) {
	if p.draw == nil {
		return nil, nil
	}
	pictures, err := p.draw()
	out := map[string][]byte{}
	for _, q := range pictures {
		out[q.Name] = []byte(q.SVG)
	}
	return out, err
}
