package law

import (
	"math"
	"testing"
)

// Source: QUADPACK: the rule of 15 points is exact up to degree 23, the Gauss rule inside it up to 13.
func TestKronrod_degrees(t *testing.T) {
	for degree := 0; degree <= 22; degree += 2 {
		want := 2 / float64(degree+1)
		sum, gap := kronrod(func(x float64) float64 { return math.Pow(x, float64(degree)) }, -1, 1)
		if math.Abs(sum-want) > 1e-15 {
			t.Errorf("degree %d: %.17g, want %.17g", degree, sum, want)
		}
		if degree <= 12 && gap > 1e-15 || degree > 14 && gap < 1e-7 {
			t.Errorf("degree %d: gap %v", degree, gap)
		}
	}
}

func TestAdaptive_narrowPeaks(t *testing.T) {
	for _, width := range []float64{1, 0.1, 0.02} {
		for _, at := range []float64{0, 0.3, -0.7} { // 0 is a node of the first panel: its sum is far too large
			got := adaptive(func(x float64) float64 { return density((x-at)/width) / width }, []float64{-1, 1}, coarseGap)
			want := (math.Erf((1-at)/width/math.Sqrt2) + math.Erf((1+at)/width/math.Sqrt2)) / 2
			if math.Abs(got/want-1) > 1e-12 {
				t.Errorf("width %v at %v: %v, want %v", width, at, got, want)
			}
		}
	}
}

// Where the first sums see nearly nothing of the integrand, the work stays bounded.
func TestAdaptive_work(t *testing.T) {
	calls := 0
	adaptive(func(x float64) float64 {
		calls++
		return math.Exp(-1e5 * x)
	}, []float64{0, 1}, coarseGap)
	if calls > 10_000 {
		t.Errorf("%d calls", calls)
	}
}

func TestOrdinal_order(t *testing.T) {
	x := []float64{math.Inf(-1), -math.MaxFloat64, -1, -math.SmallestNonzeroFloat64, 0, math.SmallestNonzeroFloat64, 1, math.Nextafter(1, 2), math.Inf(1)}
	for i, v := range x {
		if fromOrdinal(ordinal(v)) != v || i > 0 && ordinal(x[i-1]) >= ordinal(v) {
			t.Errorf("%v", v)
		}
	}
	if ordinal(x[7])-ordinal(x[6]) != 1 {
		t.Error("neighbours")
	}
	if got := leastWhere(-5, 9, func(x float64) bool { return x*x*x >= 2 }); math.Abs(got-math.Cbrt(2)) > 1e-15 {
		t.Error(got)
	}
	if got := leastWhere(-5, 9, func(float64) bool { return false }); got != 9 {
		t.Error(got)
	}
}
