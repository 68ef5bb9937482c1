package advise

import (
	"fmt"
	"slices"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Shop is what may be done to a stack: the work that the shop does, what it has in stock, and what must not be touched. The zero value allows nothing.
type Shop struct {
	Push     bool // push the parts within their float before tightening
	Swap     bool // the stack's candidates may take their places
	Reclock  []ReclockWork
	TurnOver []string // parts that may be mounted end for end
	Dowels   []DowelWork
	Shims    []ShimWork
	Skims    []SkimWork
	Redowel  []RedowelWork
	Bores    []BoreWork

	Keep []string // what must not be touched: "part", "part/front", "part/rear" or "part/bore"

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

// ReclockWork allows a part to be turned by steps of its hole pattern.
type ReclockWork struct {
	Part    string
	Holes   int  // equal steps in a turn
	Redrill bool // its dowel holes may be drilled anew
}

// DowelWork is the stock of offset dowels for a joint.
type DowelWork struct {
	Joint string
	Steps []tolerance.Length // offsets of one end from the other, as sold: not TIR
}

// ShimWork is the stock of shims and gaskets for a joint, and how steep a tapered one can be made.
type ShimWork struct {
	Joint       string
	Thicknesses []tolerance.Length
	Replace     bool             // in place of the gasket that is there
	MostTaper   tolerance.Length // greatest rise of a tapered shim; 0: none
	Thin        tolerance.Length // its thickness at the thin side, at least
	Across      tolerance.Length // over which the rise is given; 0: the contact ring
}

// SkimWork is the stock that may come off a face. Without a stated least thickness it is refused.
type SkimWork struct {
	Face   string                               // "part/front" or "part/rear", as measured
	Stock  tolerance.Length                     // most that may come off anywhere
	Least  tolerance.Optional[tolerance.Length] // the part's least thickness afterwards, anywhere on the ring and wherever a face was measured
	Clean  tolerance.Length                     // least depth that cleans up
	Wedge  bool                                 // the face may be cut by a wedge
	Across tolerance.Length                     // over which the rise is given; 0: the ring of the thickness readings, or the contact ring
}

// RedowelWork allows a joint to be set by dial, reamed and dowelled in place.
type RedowelWork struct {
	Joint string
	Most  tolerance.Length // how far it may be moved
	Pin   tolerance.Length // diameter of the new pins; 0: as large as the holes
}

// BoreWork allows a support bore to be moved.
type BoreWork struct {
	Bore    string
	Most    tolerance.Length   // farthest move by boring and sleeving; 0: none
	Wall    tolerance.Length   // least wall of the sleeve
	Offsets []tolerance.Length // stock of bushes bored off centre
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
	if s.Step == 0 {
		s.Step = usualStep
	}
	if s.ClockStep == 0 {
		s.ClockStep = usualClock
	}
	if s.Graduation == 0 {
		s.Graduation = usualDial
	}
	var wrong error
	check := func(path string, v, least tolerance.Length) {
		if err := finite(path, v, least); err != nil && wrong == nil {
			wrong = err
		}
	}
	check("step", s.Step, finest)
	check("within", s.Within, 0)
	check("dial", s.Dial, 0)
	check("graduation", s.Graduation, finest)
	if !(s.ClockStep >= 0.1*tolerance.Degree && s.ClockStep <= 90*tolerance.Degree) {
		wrong = fault.At("clock step", s.ClockStep.String(), "0.1° to 90°", fault.ErrOutOfRange)
	}
	if s.Pairs < 0 || s.Pairs > 20 {
		wrong = fault.At("pairs", fmt.Sprint(s.Pairs), "0 to 20", fault.ErrOutOfRange)
	}
	for i, w := range s.Reclock {
		if w.Holes < 2 || w.Holes > 360 {
			wrong = fault.At(fmt.Sprintf("reclock/%d/holes", i), fmt.Sprint(w.Holes), "2 to 360 equal steps in a turn", fault.ErrOutOfRange)
		}
	}
	s.amounts(check)
	return s, wrong
}

// amounts checks the amounts of every work: none is less than nothing.
func (s Shop) amounts(check func(path string, v, least tolerance.Length)) {
	all := func(path string, i int, list ...tolerance.Length) {
		for _, v := range list {
			check(fmt.Sprintf(path, i), v, 0)
		}
	}
	for i, v := range s.Strips {
		all("strips/%d", i, v)
	}
	for i, w := range s.Dowels {
		all("dowels/%d/steps", i, w.Steps...)
	}
	for i, w := range s.Shims {
		all("shims/%d/thicknesses", i, w.Thicknesses...)
		all("shims/%d/taper", i, w.MostTaper, w.Thin, w.Across)
	}
	for i, w := range s.Skims {
		all("skims/%d/stock", i, w.Stock)
		all("skims/%d/clean", i, w.Clean, w.Across)
		all("skims/%d/least", i, w.Least.Or(0))
	}
	for i, w := range s.Redowel {
		all("redowel/%d/most", i, w.Most, w.Pin)
	}
	for i, w := range s.Bores {
		all("bores/%d/most", i, w.Most, w.Wall)
		all("bores/%d/offsets", i, w.Offsets...)
	}
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

func side(yes bool, a, b string) string {
	if yes {
		return a
	}
	return b
}
