// Package sheet is what an answer is handed over as: a page as data, written as text, as Markdown, as JSON or as
// one page of the web with its pictures. The questions' packages make pages; every number is told once.
package sheet

import (
	"io"

	"example.com/borestack/align/internal/paper"
)

// Page is a sheet to hand over. The zero value is a blank one.
type Page struct {
	page   paper.Page
	format string
	draw   func() ([]paper.Picture, error)
	behind *Page // nil: it is the last
}

// New is a page that goes by a format as JSON, and whose pictures are drawn where they are asked for; nil:
// it has none.
func New(p *paper.Page, format string, draw func() ([]paper.Picture, error)) *Page {
	return &Page{page: *p, format: format, draw: draw}
}

// With is the page with another behind its last.
func (p *Page) With(last *Page) *Page {
	out := *p
	if out.behind = last; p.behind != nil {
		out.behind = p.behind.With(last)
	}
	return &out
}

// Text writes the page for a screen or a printer; an empty line stands before one behind it.
func (p *Page) Text(w io.Writer) error {
	return p.each(w, "\n", func(q *Page) error { return q.page.Text(w) })
}

// Markdown writes the page for a ticket.
func (p *Page) Markdown(w io.Writer) error {
	return p.each(w, "\n", func(q *Page) error { return q.page.Markdown(w) })
}

// JSON writes the page for a program: its sections in order, with the numbers in full. One behind it is an
// object of its own, which follows.
func (p *Page) JSON(w io.Writer) error {
	return p.each(w, "", func(q *Page) error { return q.page.JSON(w, q.format) })
}

// each writes the page and those behind it.
func (p *Page) each(w io.Writer, between string, write func(*Page) error) error {
	err := write(p)
	for q := p.behind; q != nil && err == nil; q = q.behind {
		if _, err = io.WriteString(w, between); err == nil {
			err = write(q)
		}
	}
	return err
}

// HTML writes the page for a browser, self-contained with its pictures, and those behind it as chapters of
// the same. In a program that runs in one its error wraps [errors.ErrUnsupported].
func (p *Page) HTML(w io.Writer) error {
	web := paper.Page{Title: p.page.Title}
	for q := p; q != nil; q = q.behind {
		if q != p {
			web.Section("page", q.page.Title)
		}
		for _, s := range q.page.Sections {
			id := web.Section(s.ID, s.Title).ID
			own := *s
			own.ID = id
			web.Sections[len(web.Sections)-1] = &own
		}
		pictures, err := q.drawn()
		if err != nil {
			return err
		}
		if len(pictures) > 0 {
			web.Section("pictures", "Pictures").Gallery = pictures
		}
	}
	return web.HTML(w, paper.Web{})
}

func (p *Page) drawn() ([]paper.Picture, error) {
	if p.draw == nil {
		return nil, nil
	}
	return p.draw()
}

// Pictures draws the pictures of the page and of those behind it, as SVG by name.
func (p *Page) Pictures() (map[string][]byte, error) {
	out := map[string][]byte{}
	for q := p; q != nil; q = q.behind {
		pictures, err := q.drawn()
		if err != nil {
			return nil, err
		}
		for _, r := range pictures {
			out[r.Name] = []byte(r.SVG)
		}
	}
	return out, nil
}
