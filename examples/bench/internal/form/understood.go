package form

import (
	"fmt"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/examples/bench/internal/draft"
	"example.com/borestack/tolerance"
)

// spoken is what a place was understood as.
type spoken struct{ at, text string }

// understood is what every part's entries were understood as. A part is looked at by itself, so that it is told while the rest is still empty.
func (p *Page) understood() (out []spoken) {
	known := map[string][]spoken{}
	each := func(at string) {
		part := string(p.Draft.JSONAt(at))
		key := p.Draft.Text("/units/length") + part
		list, ok := p.known[key]
		if !ok {
			list = ofPart(part, p.Draft.Text("/units/length"))
		}
		known[key] = list
		for _, s := range list {
			out = append(out, spoken{at + s.at, s.text})
		}
	}
	for i := range p.Draft.Count("/parts") {
		each(fmt.Sprintf("/parts/%d", i))
	}
	for _, place := range p.Draft.Keys("/candidates") {
		list := "/candidates/" + draft.Step(place)
		for k := range p.Draft.Count(list) {
			each(fmt.Sprintf("%s/%d", list, k))
		}
	}
	p.known = known
	return out
}

// ofPart is what the entries of one part were understood as, in a record of that part alone; nothing while it has faults.
func ofPart(part, unit string) (out []spoken) {
	rec, err := record.Decode(strings.NewReader(fmt.Sprintf(`{"format": %q, "units": {"length": %q}, "parts": [%s], "joints": []}`, record.Format, unit, part)))
	if err != nil {
		return nil
	}
	say := func(at, format string, args ...any) {
		out = append(out, spoken{strings.TrimPrefix(at, "/parts/0"), fmt.Sprintf(format, args...)})
	}
	u, err := tolerance.ParseUnit(unit)
	stack, bad := rec.Stack()
	if err != nil || bad != nil {
		return nil
	}
	if a, err := stack.Solve(); err == nil {
		sayRounds(a, u, say)
	}
	for _, s := range rec.Understood() {
		say(s.Path, "%s", s.Text)
	}
	return out
}

// sayRounds says what the rounds of a part come to: the side on which it is thickest, and how far what was swept stands off.
func sayRounds(a *align.Assembly, u tolerance.Unit, say func(at, format string, args ...any)) {
	shape := &a.Parts
	for i := range a.Readings {
		r := &a.Readings[i]
		switch {
		case r.OnThickness && len(*shape) > 0 && (*shape)[0].Rise.Given:
			s := &(*shape)[0]
			if s.Rise.Value == 0 {
				say(r.Path, "the same thickness all round")
				continue
			}
			text := fmt.Sprintf("thickest at %s seen from the tail, by %s across %s", s.Wedge.Clock().Hours(), s.Rise.Value.Format(u), s.Across.Value.Format(u))
			if v, given := s.ThicknessVariation.Get(); given {
				text += fmt.Sprintf("; it varies by %s, least to greatest", v.Format(u))
			}
			say(r.Path, "%s", text)
		case !r.OnThickness && len(r.Harmonics) > 0 && !strings.HasSuffix(r.Path, "/front/sweep") && !strings.HasSuffix(r.Path, "/rear/sweep"):
			h := &r.Harmonics[0]
			say(r.Path, "the dial swings by %s TIR: %s off the axis that it turned about, droop not taken off", (2 * h.Size).Format(u), h.Size.Format(u))
		}
	}
}
