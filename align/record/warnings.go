package record

import (
	"fmt"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// Scales, in mm or ratios, beyond which a number looks like a slip. They are wide: they warn, they
// do not judge.
const (
	thinPart       = 1.0
	shortLine      = 50.0
	longLine       = 20000.0
	wideClearance  = 1.0
	clearanceShare = 0.02 // of the bore
	steepFace      = 0.02
	wideReadings   = 5.0
	thickGasket    = 10.0
	farPocket      = 0.5 // of the length over all supports of its two shafts, outside them
)

// Warnings lists what looks like a slip, in parts and candidates: an implausible scale, a number of
// stations that nobody marks, rounds that come back to their first station worse than their gauge
// should, and dowel holes that no pin joins.
func (r *Record) Warnings() []Remark { return r.remark((*remarks).warn) }

func (u *remarks) warn(s *align.Stack) {
	bores := map[string]*align.Bore{}
	u.rec.eachPart(s, u.warnPart)
	for i := range s.Parts {
		for b := range s.Parts[i].Bores {
			bores[s.Parts[i].Name+"/"+s.Parts[i].Bores[b].Name] = &s.Parts[i].Bores[b]
		}
	}
	for k, j := range s.Joints {
		if j.Gasket != nil && j.Gasket.Thickness > thickGasket {
			u.say(fmt.Sprintf("/joints/%d/gasket/thickness", k), "a gasket %v thick: is the unit right?", j.Gasket.Thickness)
		}
	}
	u.warnHoles(s)
	z := squareZ(s)
	for i := range s.Shafts {
		for k := range s.Shafts[i].Supports {
			q := &s.Shafts[i].Supports[k]
			u.warnSupport(fmt.Sprintf("/shafts/%d/supports/%d", i, k), q, bores[q.Bore])
		}
		u.warnLine(s, i, z)
	}
	u.warnPockets(s, z)
}

func (u *remarks) warnSupport(at string, q *align.Support, b *align.Bore) {
	var bore tolerance.Optional[tolerance.Length]
	if b != nil {
		bore = b.Diameter
	}
	switch {
	case q.Clearance > wideClearance:
		u.say(at+"/clearance", "a running clearance of %v: is the unit right, and is it diametral?", q.Clearance.Length())
	case bore.Given && q.Clearance.Length() > clearanceShare*bore.Value:
		u.say(at+"/clearance", "a running clearance of %v in a bore of %v: is the unit right, and is it diametral?", q.Clearance.Length(), bore.Value)
	}
	if q.Kind != align.Bush && q.Journal.Given && bore.Given && q.Journal.Value > bore.Value { // of a bush it is a doubt
		u.say(at+"/journal", "a journal of %v in a bore of %v: are they the right way round?", q.Journal.Value, bore.Value)
	}
	if q.Runout.Length() > q.Clearance.Length() && q.Clearance > 0 {
		u.say(at+"/runout", "the journal runs out by %v, more than the clearance: is it a TIR?", q.Runout)
	}
}

// warnPockets looks at whether each pocket is near its two shafts, by their supports in a stack that is put
// together squarely.
func (u *remarks) warnPockets(s *align.Stack, z map[string]tolerance.Length) {
	for i := range s.Pockets {
		p := &s.Pockets[i]
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, shaft := range s.Shafts {
			if !slices.Contains(p.Between[:], shaft.Name) {
				continue
			}
			for _, q := range shaft.Supports {
				lo, hi = min(lo, float64(z[q.Bore])), max(hi, float64(z[q.Bore]))
			}
		}
		if at := float64(p.Z); max(lo-at, at-hi) > farPocket*(hi-lo) && hi > lo {
			u.say(fmt.Sprintf("/pockets/%d/z", i), "a pocket at z %v between shafts whose supports lie from %v to %v: is it in the frame of the first part?", p.Z, tolerance.Length(lo), tolerance.Length(hi))
		}
	}
}

// warnHoles names dowel holes that meet and have no pin in them: they locate nothing.
func (u *remarks) warnHoles(s *align.Stack) {
	for k := range s.Joints {
		front, rear := s.Parts[k].Facing(true), s.Parts[k+1].Facing(false)
		if front == nil || rear == nil || s.Joints[k].Float != nil {
			continue
		}
		for i := range front.Dowels {
			name, meets, pinned := front.Dowels[i].Name, false, false
			for r := range rear.Dowels {
				meets = meets || rear.Dowels[r].Name == name
			}
			for p := range s.Joints[k].Pins {
				pinned = pinned || s.Joints[k].Pins[p].Dowel == name
			}
			if meets && !pinned {
				u.say(fmt.Sprintf("/joints/%d", k), "both faces have a dowel hole %q and no pin is in it: is one missing under \"pins\"?", name)
			}
		}
	}
}

func (u *remarks) warnPart(written *Part, p *align.Part, at string) {
	if p.Front != nil && p.Rear != nil {
		if l := p.Located(); l.Rear.Z-l.Front.Z < thinPart {
			to := at + "/rear/z"
			switch {
			case p.Rear.Thickness != nil:
				to = at + "/rear/thickness/readings"
			case len(p.Rear.Points) > 0:
				to = at + "/rear/points"
			}
			u.say(to, "a part %v thick: is the unit right, and are front and rear the right way round?", l.Rear.Z-l.Front.Z)
		}
	}
	for _, side := range written.sides() {
		f := side.of(p)
		if s := max(math.Abs(f.Slope.X), math.Abs(f.Slope.Y)); s > steepFace {
			u.say(at+"/"+side.name+"/slope", "a face slope of %.3g: is it a ratio?", s)
		}
	}
	eachRound(written, at, u.rec.Units.Length, func(q *round) {
		u.warnReadings(q)
		u.warnClosing(q)
	})
}

func (u *remarks) warnReadings(q *round) {
	if m := len(q.Readings.Readings); q.At == nil && !usualStations(m) && (usualStations(m-1) || usualStations(m+1)) {
		u.say(q.at+"/readings", "%d readings at equal steps of %s°: was a station left out (null keeps its place), or is the last the first again (\"closing\")?", m, spell.Trimmed(360/float64(m), 1))
	}
	size := q.unit.Size()
	spread := tolerance.Length(q.span()) * size
	if spread > wideReadings {
		u.say(q.at+"/readings", "readings that spread over %v: is the unit right?", spread)
	} else if own, stated := q.uncertainty(); stated && own > q.span() && spread > 0 {
		u.say(q.at+"/uncertainty", "a standard uncertainty of %v beside readings that spread over %v: is it k = 1, and the unit right?", tolerance.Length(own)*size, spread)
	}
}

// warnClosing warns of a round that closes badly and is not void: worse than two standard
// uncertainties; none stated, than half of what would make it void.
func (u *remarks) warnClosing(q *round) {
	e, taken := q.closing()
	if !taken || q.void() {
		return
	}
	bound := max(q.span()/8, q.last())
	if own, stated := q.uncertainty(); stated {
		bound = 2 * own
	}
	if exceeds(math.Abs(e), bound, q.scale()) {
		u.say(q.at+"/closing", "the first station read %s, and %s when it was read again at the end, %s %v apart: read the round again", q.say(q.value[0], 1), q.Closing.written(), q.say(math.Abs(e), 1), q.unit)
	}
}

// warnLine looks at how long a shaft's line is, by its bores in a stack that is put together squarely.
func (u *remarks) warnLine(s *align.Stack, i int, z map[string]tolerance.Length) {
	if len(s.Shafts[i].Supports) < 2 {
		return
	}
	lo, hi := z[s.Shafts[i].Supports[0].Bore], z[s.Shafts[i].Supports[0].Bore]
	for _, q := range s.Shafts[i].Supports {
		lo, hi = min(lo, z[q.Bore]), max(hi, z[q.Bore])
	}
	if d := hi - lo; d < shortLine || d > longLine {
		u.say(fmt.Sprintf("/shafts/%d", i), "a shaft line %v long between its outer supports: is the unit right?", d)
	}
}
