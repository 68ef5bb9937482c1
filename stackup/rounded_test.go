package stackup_test

import (
	"context"
	"math"
	"testing"

	"example.com/borestack/internal/check"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
)

// An output that an input changes by rounding alone owes it nothing, however little else there is to share.
func TestLinearise_roundingIsNothing(t *testing.T) {
	sd, err := law.NewNormal(0, 0.001)
	if err != nil {
		t.Fatal(err)
	}
	s := &stackup.Study{
		Model: stackup.Func{In: 1, Out: 2, Of: func(y, x []float64) error {
			y[0], y[1] = 0.09, 0.09+1e-6*x[0]
			if x[0] > 0 { // by one unit in the last place of the lengths that it is the difference of
				y[0] = 200.09 - math.Nextafter(200, 0)
			}
			return nil
		}},
		Inputs: []stackup.Input{{Name: "a", Law: sd}},
	}
	l, err := s.Linearise(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if p := l.Spread(s, 0, -1); l.Gain[0][0] != 0 || p.XX != 0 || p.Shares[0] != 0 {
		t.Errorf("gain %g, share %v of a change by rounding", l.Gain[0][0], p.Shares)
	}
	check.Relative(t, "a gain just above rounding", l.Gain[1][0], 1e-6, 1e-4) // Source: hand calculation
}
