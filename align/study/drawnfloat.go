package study

import (
	"math"

	"example.com/borestack/align"
	"example.com/borestack/stackup/law"
)

// drawnFloat is how the numbers that a float is drawn from are distributed: uniform between 0 and 1,
// independent. At random the first alone is drawn, which a plan takes as a seed and is quicker with;
// what makes draws of normal numbers follows them, all three.
type drawnFloat struct{}

// Columns are those of the plan.
func (drawnFloat) Columns() int { return align.FloatColumns }

// Mean is the middle of 0 to 1.
func (drawnFloat) Mean(int) float64 { return 0.5 }

// Covariance is that of independent numbers between 0 and 1.
//
// Source: hand calculation: ∫(u − ½)² du = 1/12.
func (drawnFloat) Covariance(i, j int) float64 {
	if i == j {
		return 1.0 / 12
	}
	return 0
}

// Reach is a cube.
func (drawnFloat) Reach() (out []law.Set, bounded bool) {
	for c := range align.FloatColumns {
		to := make([]float64, align.FloatColumns)
		to[c] = 1
		out = append(out, law.Way(make([]float64, align.FloatColumns), to))
	}
	return out, true
}

// Draw draws the first number, and says by the others that it is a seed.
func (drawnFloat) Draw(dst [][]float64, _ []float64, s *law.Stream) {
	s.Uniforms(dst[0])
	for _, rest := range dst[1:] {
		for i := range rest {
			rest[i] = -1
		}
	}
}

// Numbers is one a column.
func (drawnFloat) Numbers() int { return align.FloatColumns }

// FromNormals sets the numbers to the shares of standard normal ones.
func (drawnFloat) FromNormals(dst, z [][]float64, _ []float64) {
	for c := range dst {
		for i, v := range z[c] {
			dst[c][i] = math.Erfc(-v/math.Sqrt2) / 2
		}
	}
}
