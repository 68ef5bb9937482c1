package form

import "math"

// zone is a feature S whose best place is sought by strips: load linearises the points' deviations
// about it, move displaces it, and inside says whether it is still a place to look at.
type zone[S any] struct {
	strip  *strip
	load   func(S)
	move   func(S, []float64) S
	inside func(S) bool
}

// settled is the gain, in a cloud of size 1, below which comparing two places says nothing:
// rounding of their deviations.
const settled = 1e-13

// measure is what is made least, of the deviations loaded.
func (s *strip) measure() float64 {
	hi, lo := math.Inf(-1), math.Inf(1)
	for _, v := range s.d {
		hi, lo = math.Max(hi, v), math.Min(lo, v)
	}
	switch s.side {
	case onlyHigh:
		return hi
	case onlyLow:
		return -lo
	}
	return hi - lo
}

// descend solves strip after strip, each about the last one's result and within a box that shrinks
// where the deviations bend, until the contacts hold the feature. The strip is left loaded at the
// result. It fails when the feature leaves the inside, or does not settle.
//
// At four (six) contacts a step is Newton's on their equations, so that the last steps double the
// digits.
func (z zone[S]) descend(at S, box float64) (S, solution, bool) {
	const (
		rounds   = 300
		polish   = 4     // steps taken once comparing says nothing
		smallest = 1e-15 // step, in a cloud of size 1: rounding
	)
	s := z.strip
	z.load(at)
	f := s.measure()
	last := 0
	for range rounds {
		s.box = box
		sol, ok := s.solve()
		if !ok {
			return at, sol, false
		}
		size := 0.0
		for _, v := range sol.x[:s.m] {
			size = math.Max(size, math.Abs(v))
		}
		if size <= smallest || last >= polish {
			return at, sol, true
		}
		gain := f - sol.value
		trial := z.move(at, sol.x[:s.m])
		if !z.inside(trial) {
			return at, sol, false
		}
		z.load(trial)
		ft := s.measure()
		switch {
		case gain < settled && ft <= f+settled/100:
			at, f = trial, ft
			last++
		case ft < f:
			switch kept := (f - ft) / gain; {
			case kept > 0.75:
				box = math.Min(2*box, 1)
			case kept < 0.25:
				box = size / 2
			}
			at, f = trial, ft
		case gain < settled:
			// The step is within rounding and no better.
			z.load(at)
			return at, sol, true
		default:
			if box = size / 4; box < smallest {
				z.load(at)
				return at, sol, true
			}
			z.load(at)
		}
	}
	return at, solution{}, false
}
