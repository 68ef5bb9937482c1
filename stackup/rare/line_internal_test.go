package rare

import (
	"math"
	"testing"
)

// A line finds its crossing of a response that is beyond all numbers on one side of it, or on both.
//
// Source: hand calculation: the crossing is chosen.
func TestLine_infinite(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		name        string
		start, at   float64
		safe, fails func(t float64) float64
	}{
		{"fails without a number", 3, 2.2, func(t float64) float64 { return 2.2 - t }, func(float64) float64 { return -inf }},
		{"fails without a number far beyond", 3, 0.3, func(t float64) float64 { return 0.3 - t }, func(t float64) float64 {
			if t > 2 {
				return -inf
			}
			return 0.3 - t
		}},
		{"none on either side", 3, 2.5, func(float64) float64 { return inf }, func(float64) float64 { return -inf }},
		{"passes without a number", -1, 1, func(float64) float64 { return inf }, func(t float64) float64 { return 1 - t }},
		{"as steep as numbers go", 3, 2.2, func(t float64) float64 { return 1e308 }, func(float64) float64 { return -1e308 }},
	} {
		q := line{t: c.start, safe: -inf, beyond: inf}
		for range 40 {
			if q.found {
				break
			}
			if q.t != q.t {
				t.Fatalf("%s: tries no number", c.name)
			}
			g := c.safe(q.t)
			if q.t > c.at {
				g = c.fails(q.t)
			}
			q.next(g, 1)
		}
		if !q.found || math.Abs(q.crossing-c.at) > 2*lineEnd {
			t.Errorf("%s: crosses at %v, want %v", c.name, q.crossing, c.at)
		}
	}
}
