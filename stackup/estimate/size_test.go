package estimate_test

import (
	"math"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/estimate"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/tolerance"
)

func TestStudy_Estimate_sizeWithLeastLimit(t *testing.T) {
	for _, greatest := range []float64{0.24, 0.28, 0.32} {
		want := 1 - stacktest.RunoutBeyond(greatest)
		e := estimated(t, stacktest.Runout(tolerance.Between(0, greatest)), estimate.Goal{Of: estimate.OfYield, Error: (1 - want) / 20}, stackup.Settings{Samples: 200000, Seed: 1})
		if !(e.Error > 0) || !(e.Interval[0] < e.Interval[1]) || math.Abs(e.Value-want) > 4*e.Error || !e.Reached || e.Method != estimate.ByLines {
			t.Errorf("%g: %+v, want %.3g", greatest, e, want)
		}
	}
}
