package rare

import (
	"math"
	"testing"

	"example.com/borestack/stackup/law"
)

// A mixture's weights are those of its densities: they average to 1 over its own samples, and none exceeds 10.
func TestMixture_weight(t *testing.T) {
	m := newMixture([]DesignPoint{{Probability: 1e-3, z: []float64{2, 1}}, {Probability: 1e-9, z: []float64{-1, 3}}})
	if math.Abs(m.shares[0]-0.9/1.1) > 1e-12 || math.Abs(m.shares[1]-0.09/1.1) > 1e-12 {
		t.Error(m.shares)
	}
	const n = 1 << 16
	s := law.NewStream(1, "mixture", 0)
	var sum, most float64
	for range n {
		z := []float64{s.Normal(), s.Normal()}
		u := s.Float64()
		for k, share := range m.shares {
			if u -= share; u < 0 {
				z[0], z[1] = z[0]+m.z[k][0], z[1]+m.z[k][1]
				break
			}
		}
		w := m.weightOf(z)
		sum += w
		most = math.Max(most, w)
	}
	if math.Abs(sum/n-1) > 0.05 || most > 1/usual {
		t.Errorf("mean %v, greatest %v", sum/n, most)
	}
}
