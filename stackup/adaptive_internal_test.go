package stackup

import (
	"math"
	"testing"
)

// Source: JCGM 101:2008, 7.9.2, examples: 0.000 35 g to two digits, 0.000 35 g to one, 2 K to one.
func TestNumericalTolerance(t *testing.T) {
	for _, c := range []struct {
		u      float64
		digits int
		want   float64
	}{{0.00035, 2, 0.000005}, {0.00035, 1, 0.00005}, {2, 1, 0.5}, {0.0996, 2, 0.005}, {0.0994, 2, 0.0005}} {
		if got := numericalTolerance(c.u, c.digits); math.Abs(got-c.want) > 1e-12*c.want {
			t.Errorf("u %v to %d digits: %v, want %v", c.u, c.digits, got, c.want)
		}
	}
}
