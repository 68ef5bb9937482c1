package report

import (
	"io"
	"strings"

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
	return bench(w, rec, res, (*paper.Page).Text)
}

// Short writes the first screen of the report alone, in at most 23 lines of 98 columns: the verdict and whatever speaks against the box, what uses up the clearance and what caps the margin, what was assumed, one picture, and up to three things to do. Errors are those of [Text].
func Short(w io.Writer, rec *record.Record, res *study.Result) error {
	return bench(w, rec, res, (*paper.Page).Short)
}

func bench(w io.Writer, rec *record.Record, res *study.Result, write func(*paper.Page, io.Writer) error) error {
	p, err := benchPage(rec, res)
	if err != nil {
		return err
	}
	return write(p, w)
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

// inDoubtTitle stands above what is in doubt, in reports and in the record in words.
const inDoubtTitle = "In doubt: measure again, or correct the record"

// inDoubt lists what cannot be relied on, with its place in the record: above everything that rests on it.
func (t *teller) inDoubt() {
	if list := doubts(t.res); len(list) > 0 {
		s := t.page.Section("doubts", inDoubtTitle)
		for _, d := range list {
			s.Item("%s", t.doubtWords(d)).From(of(d.Path)...)
		}
	}
}

// conditions lists what was assumed and what deserves a warning, above the reasons.
func (t *teller) conditions() {
	t.page.List("conditions", "Assumed, not measured", assumed(&t.at, t.res)...)
	t.page.List("conditions", "Warnings", warnings(&t.at, t.res)...)
}

func (t *teller) note() {
	if t.rec.Note != "" {
		t.page.Section("note", "Note of the record").Text("%s", spell.Clean(t.rec.Note))
	}
}

func (t *teller) conventions() {
	t.page.List("conventions", "Conventions",
		"clock positions and turns are seen from the tail end looking forward, 12 o'clock up; z runs rearward",
		"TIR is twice the offset of the centres; clearances are on diameter; margin and room are radial",
		"margin is what is left of the radial room for straight shafts: they run free when it is not negative; clearance used is the share of every clearance that they need",
		"slopes are in mm in a metre, which is the same number as thousandths of an inch in an inch",
	)
}

// cautions are those that the trade expects.
//
// Source: common practice, no published source.
func (t *teller) cautions() {
	t.page.List("cautions", "Cautions",
		"This is geometry from your readings, not permission to run. The maker's manual goes before it, and where law, class or insurance ask for one, an inspector or engineer does.",
		"Torques, sealants, dowel and bolt grades come from the maker.",
		"Never draw a box home with its bolts. Never dial a shaft that can be started: isolate, lock out, block, and turn it by hand.",
		"Stands and hoists rated for the weight; eye protection when cutting; gloves for hot or frozen parts.",
	)
}

// glossary are the words that a builder may not use, with what they mean: said where a word stands first.
var glossary = [...]struct{ word, means string }{
	{"in its float", "how far it can be pushed before it is tightened"},
	{"second harmonic", "the part of the readings that rises and falls twice a turn"},
	{"guard band", "what is kept clear of a limit, because readings are not exact"},
	{"use and margin", "use is the share of every clearance that is used up"},
	{"use of clearance", "the share of every clearance that straight shafts need"},
	{"least-squares planes", "planes in the middle of all points"},
	{"RSS", "root of the sum of squares: deviations seldom all go the same way"},
}

// explain puts the meaning of every word of the glossary behind where it stands first, in the order in which a page is read.
// Text has no room for wide sections.
func explain(p *paper.Page, text bool) {
	said := [len(glossary)]bool{}
	see := func(s *string) {
		for i, g := range glossary {
			if at := strings.Index(*s, g.word); at >= 0 && !said[i] {
				said[i] = true
				at += len(g.word)
				*s = (*s)[:at] + " (" + g.means + ")" + (*s)[at:]
			}
		}
	}
	all := func(texts []string) {
		for i := range texts {
			see(&texts[i])
		}
	}
	items := func(list []paper.Item) {
		for i := range list {
			see(&list[i].Text)
			all(list[i].More)
		}
	}
	see(&p.Lead)
	all(p.More)
	all(p.Do)
	for _, s := range p.Sections {
		if text && s.Wide {
			continue
		}
		for i := range s.Blocks {
			b := &s.Blocks[i]
			see(&b.Text)
			items(b.List)
			if b.Table != nil {
				see(&b.Table.Caption)
				items(b.Table.Told)
			}
		}
	}
}

// Brief is the first screen of a report in sentences, for a page of one's own. The zero value says nothing.
type Brief struct {
	Verdict string   // begins with the word of the verdict
	More    []string // what else must be read if nothing below is
	Do      []string // up to three things to do, the first first
}

// BriefOf is the brief of res, which [study.Run] made of rec. Errors are those of [Text].
func BriefOf(rec *record.Record, res *study.Result) (Brief, error) {
	p, err := benchPage(rec, res)
	if err != nil {
		return Brief{}, err
	}
	b := Brief{Verdict: p.Lead, More: p.More, Do: p.Do}
	if p.Word != "" {
		b.Verdict = strings.ToUpper(p.Word) + ": " + b.Verdict
	}
	return b, nil
}
