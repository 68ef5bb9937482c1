package report

import (
	"io"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
)

// Text writes the report of res, which [study.Run] made of rec, for the person at the bench: first what [Short] writes, then every reason, in the order in which a reader asks: what is in doubt and what was assumed, how each limit came out, what to do, and where everything is. Lines keep to about a hundred columns.
//
// A result that is not of the record is an error, that of [study.Result.MadeOf]; on error nothing is written.
func Text(w io.Writer, rec *record.Record, res *study.Result) error {
	p, err := benchPage(rec, res)
	if err != nil {
		return err
	}
	return p.Text(w)
}

// Short writes the first screen of the report alone, in at most 23 lines of 98 columns: the verdict and whatever speaks against the box, what uses up the clearance and what caps the margin, what was assumed, one picture, and up to three things to do. Errors are those of [Text].
func Short(w io.Writer, rec *record.Record, res *study.Result) error {
	p, err := benchPage(rec, res)
	if err != nil {
		return err
	}
	return p.Short(w)
}

// benchPage is the report as it is written for the bench.
func benchPage(rec *record.Record, res *study.Result) (*paper.Page, error) {
	if err := res.MadeOf(rec); err != nil {
		return nil, err
	}
	t := tell(rec, res)
	t.sketch()
	explain(t.page, true)
	return t.page, nil
}

// Markdown writes the report of res, which [study.Run] made of rec, for a ticket: the verdict in the first line, then what [HTML] says, in headings, lists and tables (CommonMark with tables), without pictures. Texts of the record are escaped: none makes a link, a mention, markup or a row of its own. The same record and result give the same bytes.
//
// A number that is not finite, and a result that is not of the record, are errors as for [JSON]. On error nothing is written.
func Markdown(w io.Writer, rec *record.Record, res *study.Result) error {
	t, err := tellFinite(rec, res)
	if err != nil {
		return err
	}
	facts, _, err := t.provenance()
	if err != nil {
		return err
	}
	s := t.page.Section("provenance", "Provenance")
	for _, f := range facts {
		s.Item("%s: %s", f.What, f.Is)
	}
	return t.page.Markdown(w)
}

// teller builds one report as data: all forms are written from it.
type teller struct {
	page  *paper.Page
	p     printer
	rec   *record.Record
	res   *study.Result
	at    pointers
	stack *align.Stack // what the record says; nil: nothing that makes a stack
}

// tell builds the report: what must be read, then its sections.
func tell(rec *record.Record, res *study.Result) *teller {
	p := printerOf(rec)
	p.Gauge = true
	t := &teller{page: &paper.Page{}, p: p, rec: rec, res: res, at: pointersOf(rec)}
	if s, err := rec.Stack(); err == nil {
		t.stack = &s
	}
	for _, say := range []func(){
		t.headline, t.toDo, t.inDoubt, t.conditions, t.limits, t.push, t.candidates, t.placed, t.supports, t.joints, t.parts, t.readings,
		t.states, t.sideLoads, t.meshes, t.chains, t.wear, t.variation, t.note, t.conventions, t.cautions,
	} {
		say()
	}
	return t
}

// tellFinite is the same for forms that show numbers in full: it refuses what [JSON] refuses. A page without a title gets one.
func tellFinite(rec *record.Record, res *study.Result) (*teller, error) {
	if _, err := documentOf(rec, res); err != nil {
		return nil, err
	}
	t := tell(rec, res)
	explain(t.page, false)
	if t.page.Title == "" {
		t.page.Title = "Shaft line report"
	}
	return t, nil
}

// inDoubt lists what cannot be relied on, with its place in the record: above everything that rests on it.
func (t *teller) inDoubt() {
	list := doubts(t.res)
	if len(list) == 0 {
		return
	}
	s := t.page.Section("doubts", "In doubt: measure again, or correct the record")
	for _, d := range list {
		s.Item("%s", t.doubtWords(d)).From(of(d.Path)...)
	}
}

// conditions lists what was assumed and what deserves a warning, above the reasons.
func (t *teller) conditions() {
	list := func(title string, sentences []string) {
		if len(sentences) == 0 {
			return
		}
		s := t.page.Section("conditions", title)
		for _, said := range sentences {
			s.Item("%s", said)
		}
	}
	list("Assumed, not measured", assumed(&t.at, t.res))
	list("Warnings", warnings(&t.at, t.res))
}

// note is the record's own note.
func (t *teller) note() {
	if t.rec.Note != "" {
		t.page.Section("note", "Note of the record").Text("%s", spell.Clean(t.rec.Note))
	}
}
