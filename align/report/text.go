package report

import (
	"io"

	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
)

// Text writes the report of res, which [study.Run] made of rec, for the person at the bench: the verdict and whatever speaks against the box in the first lines, then what is in doubt, what was assumed and not measured, then why, then what to do. Lines keep to about a hundred columns.
//
// A result that is not of the record is an error, that of [study.Result.MadeOf]; on error nothing is written.
func Text(w io.Writer, rec *record.Record, res *study.Result) error {
	if err := res.MadeOf(rec); err != nil {
		return err
	}
	t := &teller{page: &page{}, p: printerOf(rec), rec: rec, res: res}
	t.headline()
	t.inDoubt()
	t.conditions()
	t.limits()
	t.supports()
	t.joints()
	t.parts()
	t.states()
	t.sideLoads()
	t.meshes()
	t.chains()
	t.wear()
	t.push()
	t.candidates()
	t.variation()
	t.note()
	t.conventions()
	t.cautions()
	return t.page.writeTo(w)
}

// teller writes one report.
type teller struct {
	page *page
	p    printer
	rec  *record.Record
	res  *study.Result
}

// inDoubt lists what cannot be relied on, with its place in the record: above everything that rests on it.
func (t *teller) inDoubt() {
	list := doubts(t.res)
	if len(list) == 0 {
		return
	}
	t.page.heading("In doubt: measure again, or correct the record")
	for _, d := range list {
		t.page.item("%s", t.doubtWords(d))
	}
}

// conditions lists what was assumed and what deserves a warning, above the reasons.
func (t *teller) conditions() {
	if list := assumed(t.rec, t.res); len(list) > 0 {
		t.page.heading("Assumed, not measured")
		for _, s := range list {
			t.page.item("%s", s)
		}
	}
	if list := warnings(t.rec, t.res); len(list) > 0 {
		t.page.heading("Warnings")
		for _, s := range list {
			t.page.item("%s", s)
		}
	}
}

// note is the record's own note.
func (t *teller) note() {
	if t.rec.Note != "" {
		t.page.heading("Note of the record")
		t.page.hang(2, 2, spell.Clean(t.rec.Note))
	}
}
