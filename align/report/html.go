package report

import (
	"bytes"
	"fmt"
	"html/template"
	"io"
	"strconv"
	"strings"

	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
)

// HTML writes the report of res, which [study.Run] made of rec, as one self-contained page: the verdict first, pictures beside numbers, every limit and table with the pointers into the record that it rests on, the record itself, and what it was made of and by. The page holds no script and no address; it is light or dark as the reader prefers, and prints on A4. The words are those of [Text], the numbers behind them those of [JSON]. The same record and result give the same bytes.
//
// A number that is not finite is an error that names its key, as for [JSON]; results that are not of the record are an error that wraps [fault.ErrConflict]. On error nothing is written.
func HTML(w io.Writer, rec *record.Record, res *study.Result) error {
	v, err := newViewer(rec, res)
	if err != nil {
		return err
	}
	chapters := v.chapters()
	if err := v.illustrate(chapters); err != nil {
		return err
	}
	facts, source, err := v.provenance()
	if err != nil {
		return err
	}
	word := res.Word.String()
	d := htmlPage{
		Word: word, Class: class(word), Title: v.title(), Style: template.CSS(styleSheet()),
		Figures: v.figures(), Chapters: chapters, Facts: facts,
	}
	d.Verdict, d.More = v.lead()
	d.Record, d.anchors = listing(source, used(chapters))
	t, err := htmlTemplate.Clone()
	if err != nil {
		return fmt.Errorf("report: %w", err)
	}
	var b bytes.Buffer
	if err := t.Funcs(template.FuncMap{"linked": d.linked}).Execute(&b, &d); err != nil {
		return fmt.Errorf("report: %w", err)
	}
	_, err = b.WriteTo(w)
	return err
}

// htmlPage is what the template shows.
type htmlPage struct {
	Word, Class, Title string
	Style              template.CSS
	Verdict            string
	More               []string
	Figures            []figure
	Chapters           []chapter
	Facts              []fact
	Record             []recordLine
	anchors            map[string]string
}

// linked is the anchor of a pointer in the record that the page holds; empty when it holds none.
func (d *htmlPage) linked(pointer string) string { return d.anchors[pointer] }

// titledSheet is a table and the chapter that it stands in.
type titledSheet struct {
	Sheet     *sheet
	ID, Title string
}

// class is a verdict as a class of the style sheet.
func class(word string) string { return strings.ReplaceAll(word, " ", "-") }

// exact writes a number so that it reads back to the same bits.
func exact(v *float64) string { return strconv.FormatFloat(*v, 'g', -1, 64) }

// htmlTemplate is parsed once; a page clones it for the anchors of its own record.
var htmlTemplate = template.Must(template.New("page").Funcs(template.FuncMap{
	"class":  class,
	"exact":  exact,
	"linked": func(string) string { return "" },
	"is":     func(a, b int) bool { return a == b },
	"cut":    spell.Clean,
	"titled": func(s *sheet, c chapter) titledSheet { return titledSheet{s, c.ID, c.Title} },
}).Parse(htmlSource))
