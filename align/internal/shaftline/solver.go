package shaftline

import (
	"math"

	"example.com/borestack/align/internal/conic"
	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/tol"
)

// Least is the utilisation, or the lack of room, of all groups: the greatest of them.
func (l *Solver) Least(by Measure) (float64, error) {
	most := [2]float64{ByUtilisation: 0, ByMargin: math.Inf(-1)}[by]
	for _, g := range l.Groups {
		v, err := l.Solve(g, by)
		if err != nil {
			return 0, err
		}
		most = math.Max(most, v)
	}
	return most, nil
}

// Utilisation is the least λ for which straight shafts exist; +Inf when no line exists at all.
func (l *Solver) Utilisation() (float64, error) { return l.Least(ByUtilisation) }

// Margin is the room left, negative when every clearance lacks room; +Inf without shafts.
func (l *Solver) Margin() (float64, error) {
	lack, err := l.Least(ByMargin)
	return -lack, err
}

// Gather collects a group's circles.
func (l *Solver) Gather(group []int) {
	l.slot = dense.Resize(l.slot, l.Shafts)
	for i := range l.slot {
		l.slot[i] = -1
	}
	for i, s := range group {
		l.slot[s] = i
	}
	l.Members, l.px, l.py, l.Multipliers = l.Members[:0], l.px[:0], l.py[:0], l.Multipliers[:0]
	for i := range l.Circles {
		if c := &l.Circles[i]; l.slot[c.Shaft] >= 0 {
			l.Members = append(l.Members, i)
			l.px = append(l.px, c.X)
			l.py = append(l.py, c.Y)
			l.Multipliers = append(l.Multipliers, [2]float64{})
		}
	}
}

// Coefficients writes to a zeroed row, two a shaft of the group last gathered, what shifts and
// slopes of its lines do at a circle's z about mid in half spans.
func (l *Solver) Coefficients(row []float64, circle int, mid, half float64) {
	q := &l.Circles[circle]
	z := (q.Z - mid) / half
	s := 2 * l.slot[q.Shaft]
	row[s], row[s+1] = 1, z
	if q.Other >= 0 {
		s = 2 * l.slot[q.Other]
		row[s], row[s+1] = -1, -z
	}
}

// Centre is that of a member, less a first line after [Solver.Frame].
func (l *Solver) Centre(member int) (x, y float64) { return l.px[member], l.py[member] }

// Solve finds the least λ (ByUtilisation) or s (ByMargin) of one group, and the multipliers. Lines
// that pass through every centre but for rounding have no multipliers, as those that pass through
// exactly.
func (l *Solver) Solve(group []int, by Measure) (float64, error) {
	v, err := l.leastOfGroup(group, by)
	if err == nil && by == ByUtilisation && v*l.widestRadius() <= tol.Touching {
		clear(l.Multipliers)
	}
	return v, err
}

// leastOfGroup tries the closed form, the fast method and the program in turn.
func (l *Solver) leastOfGroup(group []int, by Measure) (float64, error) {
	l.Gather(group)
	l.Closed, l.Gap = false, 0
	if l.Hint == nil || !l.Many {
		switch l.Nullity(group) {
		case 0:
			l.Closed = true
			return l.Floor(by), nil
		case 1:
			l.Closed = true
			return l.closedForm(by), nil
		}
	}
	if l.loadFast(group) {
		var v float64
		var proved bool
		if by == ByUtilisation {
			v, proved = l.fastUtilisation()
		} else {
			v, proved = l.fastMargin()
		}
		if proved {
			return v, nil
		}
	}
	l.Gather(group)
	return l.byCones(group, by)
}

// Floor is the answer when lines pass through every centre.
func (l *Solver) Floor(by Measure) float64 {
	if by == ByUtilisation {
		return 0
	}
	return -l.LeastRadius()
}

// Solver finds straight shafts through circles, one group of coupled shafts at a time.
type Solver struct {
	Circles []Circle
	Groups  [][]int // the shafts, by what couples them, in order
	Shafts  int     // how many there are

	// Of the group last solved or gathered.
	Members     []int        // its circles
	Multipliers [][2]float64 // a vector for each member that pulls its centre, in units of the measure per mm
	Closed      bool         // by the closed form
	Gap         float64      // the certificate: how far the value may be from the least
	Weights     []float64    // with the closed form: of the sum of centres that no line changes

	Hint  [][2]float64 // multipliers that may be those of the answer, for the fast method to begin with; nil mostly
	Many  bool         // beside a hint: more than one sum of centres is known to matter
	Rough bool         // the fast method gives the value to a ten-thousandth only

	solver  conic.Solver
	problem conic.Problem
	slot    []int     // per shaft: its place in the group, or -1
	px, py  []float64 // members' centres
	Second  []float64 // where two sums of centres are free of the lines: the other
	Two     bool
	chosen  []int
	order   []int
	work    []float64
	kept    []Circle // where they are while a holder is moved
	fast    chebyshev
}

// LeastRadius is the least of the members.
func (l *Solver) LeastRadius() float64 {
	radius := math.Inf(1)
	for _, i := range l.Members {
		radius = math.Min(radius, l.Circles[i].Radius)
	}
	return radius
}

func (l *Solver) widestRadius() float64 {
	radius := 0.0
	for _, i := range l.Members {
		radius = math.Max(radius, l.Circles[i].Radius)
	}
	return radius
}

// span is the middle of the members along z, and half the way between the outermost.
func (l *Solver) span() (mid, half float64) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, i := range l.Members {
		lo, hi = math.Min(lo, l.Circles[i].Z), math.Max(hi, l.Circles[i].Z)
	}
	return (lo + hi) / 2, (hi - lo) / 2
}
