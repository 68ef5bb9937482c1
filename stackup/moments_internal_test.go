package stackup

import (
	"math"
	"testing"
)

// Infinite values are left out, extremes of either sign are found, and the first of equals is named.
func TestMomentsOf(t *testing.T) {
	y := []float64{3, math.Inf(1), -2, -7.5, 3.25, -7.5, math.Inf(-1), 3.25, 0}
	m := momentsOf(y)
	m.locate(y, 100, &moments{Least: math.Inf(1), Most: math.Inf(-1)})
	// Source: hand calculation
	mean := -7.5 / 7
	var s2, s3, s4 float64
	for _, v := range []float64{3, -2, -7.5, 3.25, -7.5, 3.25, 0} {
		d := v - mean
		s2, s3, s4 = s2+d*d, s3+d*d*d, s4+d*d*d*d
	}
	near := func(a, b float64) bool { return math.Abs(a-b) <= 1e-12*math.Abs(b) }
	if m.N != 7 || !near(m.Mean, mean) || !near(m.S2, s2) || !near(m.S3, s3) || !near(m.S4, s4) {
		t.Errorf("moments %+v, want mean %v and sums %v, %v, %v", m, mean, s2, s3, s4)
	}
	if m.Least != -7.5 || m.LeastAt != 103 || m.Most != 3.25 || m.MostAt != 104 {
		t.Errorf("extremes %v at %d and %v at %d, want -7.5 at 103 and 3.25 at 104", m.Least, m.LeastAt, m.Most, m.MostAt)
	}
	if lo, hi := extremes([]float64{-1, -3, -2}); lo != -3 || hi != -1 {
		t.Errorf("extremes %v, %v of negative values", lo, hi)
	}
	if m := momentsOf([]float64{math.Inf(1)}); m.N != 0 || m.Least < m.Most {
		t.Errorf("of nothing finite: %+v", m)
	}
}
