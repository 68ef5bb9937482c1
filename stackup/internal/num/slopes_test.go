package num_test

import (
	"math"
	"slices"
	"testing"

	"example.com/borestack/stackup/internal/num"
)

// What rounding leaves is no slope; a difference without bounds is no rounding.
func TestSlopes_none(t *testing.T) {
	x := num.Columns(3, 8)
	y := make([]float64, 8)
	evaluate := func(n int) error {
		for i := range n {
			y[i] = 1e3 + 1e-12*x[0][i] + x[2][i]
			if x[1][i] > 0 {
				y[i] = math.Inf(1)
			}
		}
		return nil
	}
	_, slopes, err := num.Slopes(x, make([]float64, 3), slices.Repeat([]float64{0.01}, 3), 1, evaluate, func(_, i int) float64 { return y[i] })
	if s := slopes[0]; err != nil || s[0] != 0 || !math.IsInf(s[1], 1) || math.Abs(s[2]-1) > 1e-9 {
		t.Error(s, err)
	}
}
