package shaftline

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// The gap of a use found by the dual is what its weights prove: how far the farthest circle of the
// weighted least-squares lines lies beyond the weighted mean.
//
// Source: a second method: the weighted least squares by QR; for any weights that add up to 1,
// √g ≤ λ ≤ max √e (the bounds at chebyshev).
func TestSolver_gapOfDual(t *testing.T) {
	rng := rand.New(rand.NewPCG(29, 3))
	seen := 0
	for trial := range 150 {
		l := bed(rng, 1+trial%3)
		if l == nil {
			continue // a shaft with too few supports
		}
		for i := range l.Circles {
			if l.Circles[i].Other < 0 {
				l.Circles[i].Radius /= math.Pow(4, float64(trial%4))
			}
		}
		for _, g := range l.Groups {
			l.Gather(g)
			if l.Nullity(g) < 2 || !l.loadFast(g) {
				continue
			}
			v, proved := l.fastUtilisation()
			if !proved {
				continue
			}
			gap, c := l.Gap, &l.fast
			low, high := provedBy(c)
			rounding := 2e-12 * (1 + v)
			if math.Abs(v-low) > rounding || math.Abs(gap-(high-low)) > rounding {
				t.Fatalf("trial %d: use %v within %v, by QR %v within %v", trial, v, gap, low, high-low)
			}
			if high-low > 3*rounding {
				seen++
			}
		}
	}
	if seen < 5 {
		t.Errorf("only %d gaps are more than rounding", seen)
	}
}

// provedBy are the bounds of λ that the weights in c prove.
func provedBy(c *chebyshev) (low, high float64) {
	a, b := mat.NewDense(c.m, c.n, nil), mat.NewDense(c.m, 2, nil)
	for i := range c.m {
		w := math.Sqrt(c.mu[i]) / c.rho[i]
		for j := range c.n {
			a.Set(i, j, w*c.a[i][j])
		}
		b.Set(i, 0, w*c.p[i][0])
		b.Set(i, 1, w*c.p[i][1])
	}
	var qr mat.QR
	qr.Factorize(a)
	var line mat.Dense
	if err := qr.SolveTo(&line, false, b); err != nil {
		if _, near := err.(mat.Condition); !near {
			return math.NaN(), math.NaN()
		}
	}
	var g, worst float64
	for i := range c.m {
		x, y := c.p[i][0], c.p[i][1]
		for j := range c.n {
			x -= c.a[i][j] * line.At(j, 0)
			y -= c.a[i][j] * line.At(j, 1)
		}
		e := (x*x + y*y) / (c.rho[i] * c.rho[i])
		g += c.mu[i] * e
		worst = math.Max(worst, e)
	}
	return math.Sqrt(g), math.Sqrt(worst)
}

// A use is a distance over a room: with an eighth of all room it is eight times as much, and so is
// what it is proved to within.
//
// Source: the use's definition, homogeneous of degree −1 in the rooms; a power of two changes no
// digit.
func TestSolver_gapOfCones(t *testing.T) {
	rng := rand.New(rand.NewPCG(31, 3))
	tried := 0
	for trial := range 60 {
		l := bed(rng, 1+trial%3)
		if l == nil {
			continue // a shaft with too few supports
		}
		for i := range l.Circles { // far off, so that the lengths' unit is a distance and no room
			l.Circles[i].X *= 40
		}
		for _, g := range l.Groups {
			l.Gather(g)
			if l.Nullity(g) < 2 {
				continue
			}
			proved := func() (use, gap float64) {
				l.Gather(g)
				use, err := l.byCones(g, ByUtilisation)
				if err != nil {
					t.Fatal(err)
				}
				return use, l.Gap
			}
			use, gap := proved()
			for i := range l.Circles {
				l.Circles[i].Radius /= 8
			}
			moreUse, moreGap := proved()
			if moreUse != 8*use || moreGap != 8*gap {
				t.Fatalf("trial %d: use %v within %v, with an eighth of the room %v within %v", trial, use, gap, moreUse, moreGap)
			}
			if gap > 0 {
				tried++
			}
		}
	}
	if tried < 10 {
		t.Errorf("%d tried", tried)
	}
}
