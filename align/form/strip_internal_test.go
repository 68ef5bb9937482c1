package form

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A strip's answer is its own proof: no point outside it, weights that are not negative and add up to 1, and directions that cancel against the walls. Sizes straddle the short list; every third set has ties.
func TestStrip_optimal(t *testing.T) {
	rng := rand.New(rand.NewPCG(31, 32))
	for trial := range 300 {
		n := []int{1, 2, 5, 30, 257, 3000}[trial%6]
		s := strip{m: 1 + trial%4, one: trial%3 == 1, box: []float64{1, 1e-3}[trial%2]}
		for range n {
			for range s.m {
				v := 2*rng.Float64() - 1
				if trial%3 == 0 {
					v = math.Round(4*v) / 4
				}
				s.a = append(s.a, v)
			}
			d := 0.5 + 0.01*rng.NormFloat64()
			if trial%3 == 0 {
				d = math.Round(100*d) / 100
			}
			s.d = append(s.d, d)
		}
		sol, ok := s.solve()
		if !ok {
			t.Errorf("trial %d: not solved", trial)
			continue
		}
		const rounding = 1e-13
		for i, d := range s.d {
			v := d
			for k := range s.m {
				v -= s.a[i*s.m+k] * sol.x[k]
			}
			if v > sol.hi+rounding || !s.one && v < sol.lo-rounding {
				t.Errorf("trial %d: point %d at %g outside %g to %g", trial, i, v, sol.lo, sol.hi)
			}
		}
		var highs, lows float64
		pull := make([]float64, s.m)
		for r, c := range sol.basis[:sol.size] {
			w := sol.weight[r]
			if w < -rounding {
				t.Errorf("trial %d: weight %g", trial, w)
			}
			switch c.kind {
			case high:
				highs += w
			case low:
				lows += w
			case wallUp, wallDown:
				if math.Abs(math.Abs(sol.x[c.row])-s.box) > rounding {
					t.Errorf("trial %d: wall at %g", trial, sol.x[c.row])
				}
			}
			g, _ := s.row(c)
			for k := range pull {
				pull[k] += w * g[k]
			}
		}
		if math.Abs(highs-1) > rounding || !s.one && math.Abs(lows-1) > rounding {
			t.Errorf("trial %d: weights add up to %g and %g", trial, highs, lows)
		}
		for _, v := range pull {
			if math.Abs(v) > rounding {
				t.Errorf("trial %d: directions leave %g", trial, v)
			}
		}
	}
}
