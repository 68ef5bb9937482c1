package study

import (
	"fmt"
	"math"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// With a limit on either side the better end of a range is its point nearest their middle, which need
// be neither end; the worse is the end with less room.
//
// Source: hand calculation.
func TestEnds_twoSided(t *testing.T) {
	limits := tolerance.Between(1, 5)
	for _, c := range []struct{ low, high, best, worst float64 }{
		{2, 4.5, 3, 4.5},   // the middle lies within; the upper end has 0.5, the lower 1
		{1.2, 4, 3, 1.2},   // the lower end has 0.2
		{-2, 2, 2, -2},     // below the middle
		{3.5, 9, 3.5, 9},   // above it
		{2, 2, 2, 2},       // nothing floats
		{-1, 8, 3, 8},      // beyond both: 2 below, 3 above
		{-3, 6, 3, -3},     // 4 below, 1 above
		{5.5, 6, 5.5, 6},   // outside altogether
		{-9, -8, -8, -9},   // and on the other side
		{2.9, 3.1, 3, 2.9}, // alike either way but for rounding: both have 1.9
	} {
		best, worst := ends(align.ChainLength, limits, tolerance.Given(c.low), tolerance.Given(c.high))
		sameRoom := math.Abs(math.Min(worst.Value-1, 5-worst.Value)-math.Min(c.worst-1, 5-c.worst)) < 1e-12
		if best.Value != c.best || !sameRoom {
			t.Errorf("%v to %v: best %v, worst %v, want %v and %v", c.low, c.high, best.Value, worst.Value, c.best, c.worst)
		}
	}
	for _, c := range []struct {
		what        align.Quantity
		limits      tolerance.Limits
		best, worst float64
	}{
		{align.Margin, tolerance.Limits{}, 4, 2},
		{align.Use, tolerance.Limits{}, 2, 4},
		{align.ChainLength, tolerance.AtLeast(3), 4, 2},
		{align.ChainLength, tolerance.AtMost(3), 2, 4},
	} {
		best, worst := ends(c.what, c.limits, tolerance.Given(2.0), tolerance.Given(4.0))
		if best.Value != c.best || worst.Value != c.worst {
			t.Errorf("%+v: best %v, worst %v", c, best.Value, worst.Value)
		}
	}
}

// A size is judged along its own direction from five standard deviations of its least certain one on;
// below that, along the least certain direction.
//
// Source: principal axes by hand: covariance s² (1, ρ; ρ, 1) is widest at 45°, by s √(1 + ρ), and
// diag(a², b²) along the longer; that five count as clear is our own choice.
func TestAlongSize_clearOfZero(t *testing.T) {
	half := math.Sqrt(0.5)
	for _, s := range []float64{1e-3, 1, 20} {
		for _, c := range []struct {
			name       string
			x, y       float64 // in s
			xx, yy, xy float64 // in s²
			clear      bool
			along      [2]float64
		}{
			{"just clear", 0, 5.01, 1, 0.25, 0, true, [2]float64{0, 1}},
			{"just not", 0, 4.99, 1, 0.25, 0, false, [2]float64{1, 0}},
			{"upright", 4.99, 0, 0.25, 1, 0, false, [2]float64{0, 1}},
			{"leaning, just clear", 5.01 * math.Sqrt(1.5), 0, 1, 1, 0.5, true, [2]float64{1, 0}},
			{"leaning, just not", 4.99 * math.Sqrt(1.5), 0, 1, 1, 0.5, false, [2]float64{half, half}},
			{"leaning the other way", 1, 0, 1, 1, -0.5, false, [2]float64{half, -half}},
			{"nothing is uncertain", 3, 4, 0, 0, 0, true, [2]float64{0.6, 0.8}},
		} {
			along, isClear := alongSize(s*c.x, s*c.y, s*s*c.xx, s*s*c.yy, s*s*c.xy)
			turn := along[0]*c.along[1] - along[1]*c.along[0] // a direction either way
			if isClear != c.clear || math.Abs(turn) > 1e-12 {
				t.Error(fmt.Sprint(c.name, ", ", s, ": ", along, " clear ", isClear))
			}
		}
	}
}
