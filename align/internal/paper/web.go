// Programs for the browser have a page of their own, and do without the templates and their weight.

//go:build !js

package paper

import (
	"bytes"
	_ "embed"
	"fmt"
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
	}{p, web, template.CSS(styleSheet())}); err != nil {
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

// tint is a colour of the page, light and dark. The pictures use the same.
type tint struct{ name, light, dark string }

// tints: texts are ink, muted and link on paper and panel, and badge on the fields of the verdicts; all
// keep a contrast of 4.5.
var tints = [...]tint{
	{"paper", "#ffffff", "#15181d"},
	{"panel", "#f3f5f8", "#1e232a"},
	{"line", "#c9d0d8", "#3c4450"},
	{"ink", "#1b1f24", "#e6e9ed"},
	{"muted", "#4a525d", "#b3bcc8"},
	{"link", "#0a5fb4", "#74b6ff"},
	{"badge", "#ffffff", "#ffffff"},
	{"pass", "#0b6b3a", "#0b6b3a"},
	{"fail", "#a51d24", "#a51d24"},
	{"depends", "#7d5200", "#7d5200"},
	{"undecided", "#7d5200", "#7d5200"},
	{"no-limit", "#4a525d", "#59616c"},
}

// styleSheet is the page's style: light, or dark on screens where the reader prefers it; on A4 in print,
// where no colour carries a meaning.
func styleSheet() string {
	var light, dark strings.Builder
	for _, t := range tints {
		fmt.Fprintf(&light, "--%s:%s;", t.name, t.light)
		fmt.Fprintf(&dark, "--%s:%s;", t.name, t.dark)
	}
	return ":root{color-scheme:light dark;" + light.String() + "}\n@media screen and (prefers-color-scheme:dark){:root{" + dark.String() + "}}\n@media print{:root{color-scheme:light}}\n" + layout
}

// layout is what no tint changes.
//
//go:embed page.css
var layout string
