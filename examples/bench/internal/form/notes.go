package form

import (
	"errors"
	"fmt"
	"strings"

	"example.com/borestack/align/record"
	"example.com/borestack/examples/bench/internal/draft"
	"example.com/borestack/fault"
)

// Kinds of notes, the gravest first.
const (
	Faulty  = "fault"   // not understood, or not possible
	Missing = "missing" // still to be filled in
	Doubted = "doubt"   // it cannot be relied on
	Warned  = "warning" // odd, and perhaps right
	Said    = "said"    // what it was understood as
)

// Note is what is said of one place of the draft.
type Note struct {
	At   string `json:"at"` // the pointer of the field or group that shows it
	Kind string `json:"kind"`
	Text string `json:"text"`
	Of   string `json:"of"` // the pointer that it is about, at or below At
}

// Look is what a page shows of its draft, once looked at.
type Look struct {
	Notes   []Note            `json:"notes"`
	Verdict Verdict           `json:"verdict"`
	Sketch  string            `json:"sketch"` // SVG
	Dials   map[string]string `json:"dials"`  // SVG of every round, by its pointer
}

// Look looks at the draft: what is said of every entry, and how the box stands where its parts rest.
func (p *Page) Look() Look {
	if p.notes == nil {
		p.Form()
	}
	l := Look{Sketch: sketch(p.Draft), Dials: dials(p.Draft)}
	unread := map[string]bool{}
	for _, u := range p.Draft.Unread() {
		unread[u[0]] = true
		l.Notes = append(l.Notes, p.note(u[0], Faulty, "not understood: want "+u[1]))
	}
	p.Draft.Each("", func(pointer string, n *draft.Node) {
		if n.Said != "" && n.Why == "" {
			l.Notes = append(l.Notes, p.note(pointer, Said, n.Said))
		}
	})
	for _, s := range p.understood() {
		l.Notes = append(l.Notes, p.note(s.at, Said, s.text))
	}
	rec, err := record.Decode(strings.NewReader(string(p.Draft.JSON())))
	for _, one := range fault.List(err) {
		if n := p.fault(one); !unread[n.Of] {
			l.Notes = append(l.Notes, n)
		}
	}
	if err != nil {
		l.Verdict = p.open(l.Notes)
		if p.Draft.Count("/parts") == 0 {
			l.Notes = nil // an empty page is no fault
		}
		return l
	}
	doubts := rec.Doubts()
	for _, d := range doubts {
		l.Notes = append(l.Notes, p.note(d.Path, Doubted, "in doubt: "+d.Why))
	}
	for _, w := range rec.Warnings() {
		l.Notes = append(l.Notes, p.note(w.Path, Warned, w.Text))
	}
	l.Verdict = atRest(rec, doubts)
	return l
}

// note puts a note at the nearest place that the form has.
func (p *Page) note(of, kind, text string) Note {
	at := of
	for at != "" && !p.notes[at] {
		at = at[:strings.LastIndexByte(at, '/')]
	}
	return Note{At: at, Kind: kind, Text: text, Of: of}
}

// fault is a fault of the record as a note.
func (p *Page) fault(err error) Note {
	var f *fault.FieldError
	if !errors.As(err, &f) || !strings.HasPrefix(f.Path, "/") {
		return p.note("", Faulty, err.Error())
	}
	want := ": want " + f.Want
	if f.Want == "" || strings.HasPrefix(f.Want, "this key") { // a key is no word of the page
		want = ""
	}
	if f.Value == "" || f.Value == `""` || f.Value == "null" {
		return p.note(f.Path, Missing, "still missing"+want)
	}
	return p.note(f.Path, Faulty, fmt.Sprintf("%s: %v%s", f.Value, f.Err, want))
}
