package rare

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// usual is the share of the mixture that is drawn as the laws say; the rest is about the design points. It bounds the
// weight of a failure by ten, by which the search tells what the points explain.
const usual = 0.1

// mixture is normal numbers about 0 and about each of some points.
type mixture struct {
	shares []float64   // of the points; the rest is about 0
	z      [][]float64 // the points
	half   []float64   // half the squared distance of each
}

// newMixture shares out the samples as the points' chances are, though none gets less than a tenth of the greatest.
func newMixture(points []DesignPoint) *mixture {
	m := &mixture{}
	var most, sum float64
	for i := range points {
		most = math.Max(most, points[i].Probability)
	}
	for i := range points {
		p := &points[i]
		share := 1.0
		if most > 0 {
			share = math.Max(p.Probability/most, 0.1)
		}
		m.shares = append(m.shares, share)
		m.z = append(m.z, p.z)
		m.half = append(m.half, floats.Dot(p.z, p.z)/2)
		sum += share
	}
	for i := range m.shares {
		m.shares[i] *= (1 - usual) / sum
	}
	return m
}

// weightOf is how likely a point is as the laws say, over how likely as the mixture says.
func (m *mixture) weightOf(z []float64) float64 {
	q := usual
	for k, share := range m.shares {
		q += share * math.Exp(floats.Dot(m.z[k], z)-m.half[k])
	}
	return 1 / q
}

// heaviest is which of n points has the greatest weight, the first of equals: that which the mixture explains least.
func (m *mixture) heaviest(n int, point func(int) []float64) (best int) {
	most := 0.0
	for i := range n {
		if v := m.weightOf(point(i)); v > most {
			best, most = i, v
		}
	}
	return best
}

// strange is the first of some points that hardly any component would draw, or that of the greatest weight.
func (m *mixture) strange(points [][]float64) int {
	for i, z := range points {
		if m.weightOf(z) > 0.5/usual {
			return i
		}
	}
	return m.heaviest(len(points), func(i int) []float64 { return points[i] })
}
