package gauss_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"

	"example.com/borestack/internal/gauss"
)

// Source: a second method: gonum's tables (Bogaert 2014), to rounding.
func TestNodes_tables(t *testing.T) {
	for _, n := range []int{1, 2, 3, 8, 24, 40, 61, 200} {
		x, w, tx, tw := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
		hold := func(what string, scale float64) {
			share := 1e-11
			if n > 40 {
				share = 1e-7 // far out a weight follows its node's rounding, many hundredfold
			}
			for k := range x {
				if math.Abs(x[k]-tx[k]) > 1e-13*scale || math.Abs(w[k]-tw[k]) > share*tw[k] {
					t.Errorf("%s, %d nodes: node %d at %.17g with %.17g, want %.17g with %.17g", what, n, k, x[k], w[k], tx[k], tw[k])
				}
			}
		}
		gauss.Legendre(x, w, -1, 3)
		quad.Legendre{}.FixedLocations(tx, tw, -1, 3)
		hold("Legendre", 4)
	}
}

// Source: hand calculation: three Legendre nodes are 0 and ±√(3/5) with 8/9 and 5/9.
func TestNodes_byHand(t *testing.T) {
	x, w := make([]float64, 3), make([]float64, 3)
	gauss.Legendre(x, w, -1, 1)
	if math.Abs(x[0]-math.Sqrt(0.6)) > 1e-15 || math.Abs(w[1]-8.0/9) > 1e-15 || math.Abs(w[0]-5.0/9) > 1e-15 {
		t.Errorf("Legendre: %v %v", x, w)
	}
}
