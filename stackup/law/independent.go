package law

import "math"

// Independent are laws of deviations that know nothing of each other, one for each.
type Independent []Law

// Columns returns the number of laws.
func (p Independent) Columns() int { return len(p) }

// Mean returns that of a law.
func (p Independent) Mean(column int) float64 { return p[column].Moments().Mean }

// Covariance returns the variance of a law; that of two is 0.
func (p Independent) Covariance(i, j int) float64 {
	if i != j {
		return 0
	}
	return p[i].Moments().Variance
}

// Reach returns the way of each between its limits. It reports false when one has none.
func (p Independent) Reach() (out []Set, bounded bool) {
	for k, l := range p {
		lowest, highest := l.Support()
		if math.IsInf(lowest, 0) || math.IsInf(highest, 0) {
			return nil, false
		}
		from, to := make([]float64, len(p)), make([]float64, len(p))
		from[k], to[k] = lowest, highest
		out = append(out, Way(from, to))
	}
	return out, true
}

// Draw fills column after column with the next values.
func (p Independent) Draw(dst [][]float64, _ []float64, s *Stream) {
	for k, l := range p {
		l.Draw(dst[k], s)
	}
}

// Numbers returns the number of laws.
func (p Independent) Numbers() int { return len(p) }

// FromNormals makes values of the laws of independent standard normal numbers, a column of them for each.
func (p Independent) FromNormals(dst, z [][]float64, _ []float64) {
	for k, l := range p {
		FromNormals(l, dst[k], z[k])
	}
}
