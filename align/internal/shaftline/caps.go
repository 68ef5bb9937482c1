package shaftline

import (
	"math"

	"example.com/borestack/align/internal/tol"
)

// capTol is how near, in mm, a margin is to the least room, or a room to it, for the tightest
// circles to be what caps the margin: rounding, as of [tol.Meet].
const capTol = tol.Meet

// Caps sets what caps the margin of the group last solved by margin, s = -margin: each member's
// weight w ≥ 0 with Σ w = 1. With the multipliers y, |y| ≤ w and Σ y·ℓ = 0 for every line, they
// prove it: no line leaves every circle more than Σ w r - Σ y·p, for each leaves r - |p - ℓ| and
// w|p - ℓ| ≥ y·(p - ℓ).
//
// Where the tightest circles cap the margin, whatever the misalignment, they carry all the weight,
// in equal parts: the central one of all such weights. Source: weak duality of the program in the
// package comment; hand calculation.
func (l *Solver) Caps(s float64) []float64 {
	w := make([]float64, len(l.Members))
	var sum float64
	for c, p := range l.Multipliers {
		w[c] = math.Hypot(p[0], p[1])
		sum += w[c]
	}
	if least := l.LeastRadius(); s <= -least+capTol || sum == 0 {
		sum = 0
		for c, i := range l.Members {
			w[c], l.Multipliers[c] = 0, [2]float64{}
			if l.Circles[i].Radius <= least+capTol {
				w[c] = 1
				sum++
			}
		}
	}
	for c := range w {
		w[c] /= sum
	}
	return w
}

// AlwaysLined lists the shafts with a line through all their centres wherever those stand: with two
// circles, or as many once shafts that can always follow no longer count with their pockets.
func (l *Solver) AlwaysLined() []int {
	free := make([]bool, l.Shafts)
	for found := true; found; {
		found = false
		for s := range free {
			if !free[s] && l.takesTwo(s, free) {
				free[s], found = true, true
			}
		}
	}
	var out []int
	for s, f := range free {
		if f {
			out = append(out, s)
		}
	}
	return out
}

// takesTwo reports whether shaft s touches two circles at most, apart along z, pockets with shafts
// that are free not counted.
func (l *Solver) takesTwo(s int, free []bool) bool {
	var z []float64
	for i := range l.Circles {
		c := &l.Circles[i]
		if (c.Shaft == s && (c.Other < 0 || !free[c.Other])) || (c.Other == s && !free[c.Shaft]) {
			z = append(z, c.Z)
		}
	}
	return len(z) < 2 || (len(z) == 2 && math.Abs(z[0]-z[1]) > tol.Meet)
}
