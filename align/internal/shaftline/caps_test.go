package shaftline

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// What caps the margin proves it: weights that add up to 1 and are no less than the pulls, pulls
// that no line can feel, and a bound that equals the margin.
//
// Source: weak duality, worked out here from the statement of the margin: r - |p - ℓ| ≤ r -
// (y/w)·(p - ℓ).
func TestSolver_capsCertify(t *testing.T) {
	rng := rand.New(rand.NewPCG(15, 6))
	tight, bent := 0, 0
	for trial := range 900 {
		l := bed(rng, 1+trial%3)
		if l == nil {
			continue
		}
		for shaft := range l.Shafts { // a third of the boxes with room to spare but for one bearing, a third with a bearing that has none
			var holders []int
			for _, c := range l.Circles {
				if c.Shaft == shaft && c.Other < 0 && !slices.Contains(holders, c.Holder) {
					holders = append(holders, c.Holder)
				}
			}
			holder := holders[rng.IntN(len(holders))]
			for i := range l.Circles {
				switch c := &l.Circles[i]; {
				case c.Holder == holder && trial/3%3 == 1:
					c.Radius /= 50
				case c.Holder == holder && trial/3%3 == 2:
					c.Radius = 0
				}
			}
		}
		if trial/3%3 == 1 {
			for i := range l.Circles {
				l.Circles[i].X, l.Circles[i].Y = l.Circles[i].X/20, l.Circles[i].Y/20
			}
		}
		for _, g := range l.Groups {
			v, err := l.Solve(g, ByMargin)
			if err != nil {
				t.Fatal(trial, err)
			}
			w := l.Caps(v)
			if -v >= l.LeastRadius()-1e-9 {
				tight++
			} else {
				bent++
			}
			checkCaps(t, l, w, -v, fmt.Sprintf("trial %d", trial))
		}
	}
	if tight < 100 || bent < 100 {
		t.Errorf("%d capped by a tight bearing, %d by misalignment: want many of both", tight, bent)
	}
}

func checkCaps(t *testing.T, l *Solver, w []float64, margin float64, what string) {
	t.Helper()
	balance := make([]float64, 4*l.Shafts)
	var sum, bound float64
	for c, i := range l.Members {
		q, y := &l.Circles[i], l.Multipliers[c]
		if size := math.Hypot(y[0], y[1]); !(w[c] >= size-1e-7) {
			t.Errorf("%s: circle %d weighs %v and pulls with %v", what, c, w[c], size)
		}
		sum += w[c]
		bound += w[c]*q.Radius - y[0]*q.X - y[1]*q.Y
		for a := range 2 {
			balance[4*q.Shaft+2*a] += y[a]
			balance[4*q.Shaft+2*a+1] += y[a] * q.Z / 1000
			if q.Other >= 0 {
				balance[4*q.Other+2*a] -= y[a]
				balance[4*q.Other+2*a+1] -= y[a] * q.Z / 1000
			}
		}
	}
	for _, b := range balance {
		if math.Abs(b) > 1e-6 {
			t.Errorf("%s: the pulls do not balance: %v", what, balance)
			break
		}
	}
	if math.Abs(sum-1) > 1e-12 || math.Abs(bound-margin) > 2e-8 {
		t.Errorf("%s: weights add up to %v; margin %v, bound %v", what, sum, margin, bound)
	}
}
