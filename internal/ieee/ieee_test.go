package ieee_test

import (
	"math"
	"testing"

	"example.com/borestack/internal/ieee"
)

// Source: IEEE 754-2019, 3.3: the largest finite and the smallest numbers are finite; infinities and NaN are not.
func TestFinite(t *testing.T) {
	if !ieee.Finite[float64]() || !ieee.Finite(0, math.MaxFloat64, -math.MaxFloat64, math.SmallestNonzeroFloat64) {
		t.Error("finite numbers taken for none")
	}
	for _, v := range []float64{math.Inf(1), math.Inf(-1), math.NaN()} {
		if ieee.Finite(v) || ieee.Finite(0, v) {
			t.Errorf("%v taken for finite", v)
		}
	}
}
