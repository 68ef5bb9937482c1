package shaftline

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// bed is a set of shafts through random circles; nil where one of them has too few to be held.
func bed(rng *rand.Rand, shafts int) *Solver {
	l := &Solver{Shafts: shafts}
	holders, held := 0, make([]int, shafts)
	bush := func(c Circle, sx, sy, width float64) {
		for _, h := range [2]float64{-width / 2, width / 2} {
			m := c
			m.Z, m.X, m.Y = c.Z+h, c.X+sx*h, c.Y+sy*h
			l.Circles = append(l.Circles, m)
		}
	}
	var pockets []Circle
	var widths []float64
	for k := range shafts {
		n := 1 + rng.IntN(4)
		if shafts == 1 {
			n += 2
		}
		for i := range n {
			sx, sy := 1e-3*rng.NormFloat64(), 1e-3*rng.NormFloat64()
			c := Circle{Shaft: k, Other: -1, Holder: holders, X: 0.05 * rng.NormFloat64(), Y: 0.05 * rng.NormFloat64(), Z: float64(300*k + 100*i + rng.IntN(80))}
			c.Radius = (0.02 + 0.1*rng.Float64()) / 2
			holders++
			held[k]++
			if rng.IntN(3) == 0 {
				bush(c, sx, sy, 30)
				continue
			}
			l.Circles = append(l.Circles, c)
		}
		if k > 0 {
			held[k-1]++
			held[k]++
			pockets = append(pockets, Circle{Shaft: k - 1, Other: k, Z: float64(300*k - 10), Radius: 0.015})
			widths = append(widths, 0)
			if rng.IntN(2) == 0 {
				widths[k-1] = 20
			}
		}
	}
	group := make([]int, shafts)
	for k := range group {
		group[k] = k
	}
	l.Groups = [][]int{group}
	for i, c := range pockets {
		c.Holder = holders + i
		if widths[i] > 0 {
			bush(c, 0, 0, widths[i])
		} else {
			l.Circles = append(l.Circles, c)
		}
	}
	if slices.Min(held) < 2 {
		return nil
	}
	return l
}

// The multipliers prove use and margin: they balance on every line, weigh the rooms to at most 1,
// and reach the value from below; so whatever the method, nothing smaller is possible.
//
// Source: weak duality of the program in the package comment; hand calculation.
func TestSolver_multipliersCertify(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for trial := range 1200 {
		l := bed(rng, 1+trial%3)
		if l == nil {
			continue
		}
		for _, g := range l.Groups {
			for _, by := range []Measure{ByUtilisation, ByMargin} {
				v, err := l.Solve(g, by)
				if err != nil {
					t.Fatal(trial, by, err)
				}
				l.certify(t, trial, by, v)
			}
		}
		use, _ := l.Utilisation()
		margin, _ := l.Margin()
		if (use <= 1) != (margin >= 0) && math.Abs(use-1) > 1e-9 {
			t.Fatalf("trial %d: use %v and margin %v disagree", trial, use, margin)
		}
	}
}

func (l *Solver) certify(t *testing.T, trial int, by Measure, v float64) {
	t.Helper()
	floor := -l.LeastRadius()
	if by == ByMargin && v <= floor+1e-9 {
		return // no room can be more than the least
	}
	balance := make([]float64, 4*l.Shafts)
	var reach, rooms, count float64
	for c, i := range l.Members {
		q := &l.Circles[i]
		y := l.Multipliers[c]
		size := math.Hypot(y[0], y[1])
		reach += y[0]*q.X + y[1]*q.Y
		rooms += size * q.Radius
		count += size
		for a := range 2 {
			balance[4*q.Shaft+2*a] += y[a]
			balance[4*q.Shaft+2*a+1] += y[a] * q.Z
			if q.Other >= 0 {
				balance[4*q.Other+2*a] -= y[a]
				balance[4*q.Other+2*a+1] -= y[a] * q.Z
			}
		}
	}
	for i, b := range balance {
		if math.Abs(b) > 1e-5*(1+count)*(1+999*float64(i%2)) {
			t.Fatalf("trial %d: multipliers do not balance: %v", trial, balance)
		}
	}
	bound, weight := reach, rooms
	if by == ByMargin {
		bound, weight = reach-rooms, count
	}
	if weight > 1+1e-7 || math.Abs(bound-v) > 2e-8*(1+math.Abs(v)) {
		t.Fatalf("trial %d %v: value %v, bound %v, weight %v (closed %v)", trial, by, v, bound, weight, l.Closed)
	}
}
