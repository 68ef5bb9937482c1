package advise

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/internal/rules"
	"example.com/borestack/tolerance"
)

// Shop is what may be done to a stack: the work that the shop does, what it has in stock, and what must not be touched. The zero value allows nothing.
type Shop struct {
	Push  bool // push the parts within their float before tightening
	Swap  bool // the stack's candidates may take their places
	Works []Work
	Keep  []string // what must not be touched: "part", "part/front", "part/rear" or "part/bore"

	Step      tolerance.Length // amounts are multiples of this; 0: 0.005 mm
	ClockStep tolerance.Angle  // directions are multiples of this; 0: 5°
	Within    tolerance.Length // amounts are held within ± this, rectangular; 0: exact, and the reading to expect is no surer than the gauge
	Dial      tolerance.Length // standard uncertainty of the reading taken afterwards; 0: none

	// Graduation is a division of the dials that parts are pushed by and bores are read with: what a sheet says
	// of them is in whole divisions; 0: 0.01 mm. Strips are the thicknesses of strip or feeler that a part can
	// be tilted with under the cutter, packs included; none: multiples of Step.
	Graduation tolerance.Length
	Strips     []tolerance.Length

	Pairs int // how many of the best single corrections are tried together with a second; 0: singles alone
}

// Work is one kind of correction that a shop does at one place, and the stock for it. Which fields count depends on the kind; the zero value is refused.
type Work struct {
	Kind  Kind
	Place string // as in [Correction]

	Sizes []tolerance.Length                   // in stock: of Shim the thicknesses, of OffsetDowels the offsets of one end from the other as sold (not TIR), of Bush how far they are off centre
	Most  tolerance.Length                     // of a cut the most that may come off anywhere, of TaperShim the rise, of Sleeve and Redowel how far it may be moved
	Thin  tolerance.Length                     // of a cut the least depth that cleans up, of TaperShim its thickness at the thin side
	Least tolerance.Optional[tolerance.Length] // of a cut: the part's least thickness afterwards, anywhere on the ring and wherever a face was measured; without it the cut is refused

	Across  tolerance.Length // of a cut and TaperShim what the rise is across, 0: the ring of the thickness readings, or the contact ring; of Sleeve the least wall, of Redowel the diameter of the new pins, 0: as large as the holes
	Holes   int              // Reclock: equal steps in a turn
	Redrill bool             // Reclock: its dowel holes may be drilled anew
	Replace bool             // Shim, TaperShim: in place of the gasket that is there
}

// correction is the work without its amounts.
func (w *Work) correction() Correction {
	return Correction{Kind: w.Kind, Place: w.Place, By: w.Thin, Across: w.Across, Redrill: w.Redrill, Replace: w.Replace}
}

// work is the first work at the place of a correction, of its kind or, of a cut, of either kind of cut, for which is holds; nil without one.
func (s Shop) work(c Correction, is func(w *Work) bool) *Work {
	for i := range s.Works {
		w := &s.Works[i]
		if w.Place == c.Place && (w.Kind == c.Kind || w.Kind.cuts() && c.Kind.cuts()) && is(w) {
			return w
		}
	}
	return nil
}

// Rounding of amounts when the shop does not say.
const (
	usualStep  = 5 * tolerance.Micrometre
	usualClock = 5 * tolerance.Degree
	usualDial  = 10 * tolerance.Micrometre
)

// finest is the finest step, in mm, that anything is made or read in: a nanometre keeps every count of steps a number.
const finest = 1e-6

// ready fills in what was not said, and checks the numbers. Names are checked where they are used.
func (s Shop) ready() (Shop, error) {
	s.Step, s.ClockStep, s.Graduation = cmp.Or(s.Step, usualStep), cmp.Or(s.ClockStep, usualClock), cmp.Or(s.Graduation, usualDial)
	var wrong rules.List
	finite(&wrong, "step", s.Step, finest)
	finite(&wrong, "within", s.Within, 0)
	finite(&wrong, "dial", s.Dial, 0)
	finite(&wrong, "graduation", s.Graduation, finest)
	wrong.Need(s.ClockStep >= 0.1*tolerance.Degree && s.ClockStep <= 90*tolerance.Degree, "clock step", s.ClockStep, "0.1° to 90°", fault.ErrOutOfRange)
	wrong.Need(s.Pairs >= 0 && s.Pairs <= 20, "pairs", s.Pairs, "0 to 20", fault.ErrOutOfRange)
	for i, v := range s.Strips {
		finite(&wrong, fmt.Sprintf("strips/%d", i), v, 0)
	}
	for i, w := range s.Works {
		at := fmt.Sprintf("works/%d", i)
		wrong.Need(w.Kind != Leave && w.Kind <= Push, at+"/kind", w.Kind, "one of the kinds of correction", fault.ErrOutOfRange)
		wrong.Need(w.Kind != Reclock || w.Holes >= 2 && w.Holes <= 360, at+"/holes", w.Holes, "2 to 360 equal steps in a turn", fault.ErrOutOfRange)
		for _, v := range append([]tolerance.Length{w.Most, w.Thin, w.Least.Or(0), w.Across}, w.Sizes...) {
			finite(&wrong, at, v, 0)
		}
	}
	return s, wrong.Err()
}

// kept says which of the features that a correction cuts or moves must not be touched; empty: none.
func (s Shop) kept(c Correction, stack *align.Stack) string {
	if cuts := c.Kind.trait().cuts; cuts != nil {
		for _, t := range cuts(c, stack) {
			part, _, _ := strings.Cut(t, "/")
			for _, k := range []string{t, part} {
				if slices.Contains(s.Keep, k) {
					return k
				}
			}
		}
	}
	return ""
}
