package report

import (
	"bytes"
	"fmt"
	"html/template"
	"io"
	"strconv"
	"strings"

	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
)

// HTML writes the report of res, which [study.Run] made of rec, as one self-contained page: first what [Short] writes, which is the first side of A4 in print, with a picture; then pictures beside numbers, every limit and table with the pointers into the record that it rests on, the record itself, and what it was made of and by. The page holds no script and no address; it is light or dark as the reader prefers, and prints on A4. The words are those of [Text], the numbers behind them those of [JSON]. The same record and result give the same bytes.
//
// A number that is not finite is an error that names its key, as for [JSON]; results that are not of the record are an error that wraps [fault.ErrConflict]. On error nothing is written.
func HTML(w io.Writer, rec *record.Record, res *study.Result) error {
	t, err := tellFinite(rec, res)
	if err != nil {
		return err
	}
	if err := t.illustrate(); err != nil {
		return err
	}
	facts, source, err := t.provenance()
	if err != nil {
		return err
	}
	d := htmlPage{Page: t.page, Style: template.CSS(styleSheet()), Facts: facts}
	d.Record, d.anchors = listing(source, used(t.page))
	page, err := htmlTemplate(d.linked)
	if err != nil {
		return fmt.Errorf("report: %w", err)
	}
	var b bytes.Buffer
	if err := page.Execute(&b, &d); err != nil {
		return fmt.Errorf("report: %w", err)
	}
	_, err = b.WriteTo(w)
	return err
}

// htmlPage is what the template shows.
type htmlPage struct {
	*paper.Page
	Style   template.CSS
	Facts   []fact
	Record  []recordLine
	anchors map[string]string
}

// linked is the anchor of a pointer in the record that the page holds; empty when it holds none.
func (d *htmlPage) linked(pointer string) string { return d.anchors[pointer] }

// titledTable is a table and the section that it stands in.
type titledTable struct {
	*paper.Table
	ID, Title string
}

// span is how many columns a group's name spans.
func span(t titledTable) int {
	if t.Sourced() {
		return len(t.Columns) + 1
	}
	return len(t.Columns)
}

// class is a verdict as a class of the style sheet.
func class(word string) string { return strings.ReplaceAll(word, " ", "-") }

// exact writes a number so that it reads back to the same bits.
func exact(v *float64) string { return strconv.FormatFloat(*v, 'g', -1, 64) }

// htmlTemplate is the page as a template, with the anchors of its own record. It is parsed where it is needed, so that a
// program that writes no page carries no template.
func htmlTemplate(linked func(pointer string) string) (*template.Template, error) {
	return template.New("page").Funcs(template.FuncMap{
		"class":  class,
		"exact":  exact,
		"linked": linked,
		"is":     func(a, b int) bool { return a == b },
		"cut":    spell.Clean,
		"span":   span,
		"svg":    func(s string) template.HTML { return template.HTML(s) }, // drawn by package draw, which escapes
		"titled": func(t *paper.Table, s *paper.Section) titledTable { return titledTable{t, s.ID, s.Title} },
		"upper":  spell.Upper,
	}).Parse(htmlSource)
}
