package floatset

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Draws from two whole constraints fill what they leave evenly: their means and covariances are
// those of the integral over F, whichever of the two is tighter, and each is within both.
func TestPair_fillsTheFloat(t *testing.T) {
	for name, c := range map[string][]Constraint{
		"pilot tighter": {{Radius: 0.006, Mark: OfShift}, {PX: 0.003, PY: -0.002, QX: 10, QY: 70, Radius: 0.009}},
		"pin tighter":   {{Radius: 0.012, Mark: OfShift}, {PX: 0.002, PY: 0.004, QX: -5, QY: 70, Radius: 0.005}},
		"two pins":      {{PX: 0.001, QX: 40, QY: -60, Radius: 0.02}, {PY: 0.005, QX: -30, QY: 70, Radius: 0.018}},
	} {
		s := Set{Constraints: c, Turns: true}
		s.Measure()
		s.Aim(c[0].Mark == OfShift)
		if err := s.Prepare(); err != nil {
			t.Fatal(name, err)
		}
		m, err := s.UniformMoments() // Source: a second method, rays from a point within
		if err != nil {
			t.Fatal(name, err)
		}
		const n = 40000
		rng := rand.New(rand.NewPCG(5, 6))
		var first [3]float64
		var second [3][3]float64
		for range n {
			v, err := s.Uniform(Numbers{rng.Float64(), -1, -1})
			if err != nil || !s.Roomy(v, -1e-12, -1) {
				t.Fatalf("%s: %v at %v", name, err, v)
			}
			at := s.Scaled(v)
			for i := range 3 {
				first[i] += at[i] / n
				for k := range 3 {
					second[i][k] += at[i] * at[k] / n
				}
			}
		}
		for i := range 3 {
			mean := m.First[i] / m.Weight
			sd := math.Sqrt(m.Second[i][i]/m.Weight - mean*mean)
			if math.Abs(first[i]-mean) > 5*sd/math.Sqrt(n) {
				t.Errorf("%s: mean %d is %g, want %g", name, i, first[i], mean)
			}
			for k := range 3 {
				other := m.First[k] / m.Weight
				got, want := second[i][k]-first[i]*first[k], m.Second[i][k]/m.Weight-mean*other
				wide := sd * math.Sqrt(m.Second[k][k]/m.Weight-other*other)
				if math.Abs(got-want) > 0.03*wide {
					t.Errorf("%s: covariance %d, %d is %g, want %g", name, i, k, got, want)
				}
			}
		}
	}
}
