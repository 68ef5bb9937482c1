package shaftline

import (
	"math"

	"example.com/borestack/align/internal/conic"
)

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
