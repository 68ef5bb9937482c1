// Programs for the browser have a page of their own, and do without the templates and their weight.

//go:build !js

package paper

import (
	"bytes"
	_ "embed"
	"html/template"
	"io"
	"strconv"
	"strings"

	"example.com/borestack/align/internal/spell"
)

// HTML writes the page as one self-contained page of the web, with its pictures: it holds no script and no
// address, is light or dark as the reader prefers, and prints on A4. On error nothing is written.
func (p *Page) HTML(w io.Writer, web Web) error {
	page, err := webTemplate(func(pointer string) string { return web.Anchors[pointer] })
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := page.Execute(&b, struct {
		*Page
		Web
		Style template.CSS
	}{p, web, template.CSS(style)}); err != nil {
		return err
	}
	_, err = b.WriteTo(w)
	return err
}

type titledTable struct {
	*Table
	ID, Title string
}

// Span is how many columns a group's name spans.
func (t titledTable) Span() int {
	if t.Sourced() {
		return len(t.Columns) + 1
	}
	return len(t.Columns)
}

func class(word string) string { return strings.ReplaceAll(word, " ", "-") }

// webTemplate is the page as a template, with the anchors of its own record. It is parsed where it is
// needed, so that a program that writes no page carries no template.
func webTemplate(linked func(pointer string) string) (*template.Template, error) {
	return template.New("page").Funcs(template.FuncMap{
		"class":  class,
		"exact":  func(v *float64) string { return strconv.FormatFloat(*v, 'g', -1, 64) }, // which reads back to the same bits
		"linked": linked,
		"is":     func(a, b int) bool { return a == b },
		"cut":    spell.Clean,
		"svg":    func(s string) template.HTML { return template.HTML(s) }, // drawn by package draw, which escapes
		"titled": func(t *Table, s *Section) titledTable { return titledTable{t, s.ID, s.Title} },
		"upper":  spell.Upper,
	}).Parse(webSource)
}

// webSource is the page. Elements without content are closed, so that the page is also well-formed XML.
//
//go:embed page.html
var webSource string

// style is the page's: light, or dark on screens where the reader prefers it; on A4 in print, where no colour carries a
// meaning. Texts are ink, muted and link on paper and panel, and badge on the fields of the verdicts; all keep a contrast of
// 4.5. The pictures use the same colours.
//
//go:embed page.css
var style string
