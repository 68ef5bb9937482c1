package law

import "math"

// Normal is the normal law.
type Normal struct{ mean, sd float64 }

// NewNormal returns the normal law. It returns a [ParameterError] unless mean is finite and sd ≥ 0.
func NewNormal(mean, sd float64) (Normal, error) {
	if err := finite("normal", []string{"mean"}, mean); err != nil {
		return Normal{}, err
	}
	if err := atLeastZero("normal", "sd", sd); err != nil {
		return Normal{}, err
	}
	return Normal{mean, sd}, nil
}

// CDF returns P(X ≤ x) = ½ erfc(−z/√2), z = (x − mean)/sd.
func (l Normal) CDF(x float64) float64 {
	if l.sd == 0 {
		return step(x >= l.mean)
	}
	return math.Erfc(-(x-l.mean)/l.sd/math.Sqrt2) / 2
}

// Survival returns P(X > x) = ½ erfc(z/√2).
func (l Normal) Survival(x float64) float64 {
	if l.sd == 0 {
		return step(x < l.mean)
	}
	return math.Erfc((x-l.mean)/l.sd/math.Sqrt2) / 2
}

// Quantile returns the x below which a share p lies.
func (l Normal) Quantile(p float64) float64 { return l.at(StandardQuantile(p)) }

// UpperQuantile returns the x above which a share q lies.
func (l Normal) UpperQuantile(q float64) float64 { return l.at(-StandardQuantile(q)) }

// at keeps a constant finite.
func (l Normal) at(z float64) float64 {
	if l.sd == 0 && !math.IsNaN(z) {
		return l.mean
	}
	return l.mean + l.sd*z
}

// Moments returns the mean and variance; the shape is 0.
func (l Normal) Moments() Moments { return Moments{Mean: l.mean, Variance: l.sd * l.sd} }

// Support is the whole line, or the mean alone when the standard deviation is 0.
func (l Normal) Support() (lowest, highest float64) { return l.at(math.Inf(-1)), l.at(math.Inf(1)) }

// Draw fills dst with the next values of a stream.
func (l Normal) Draw(dst []float64, s *Stream) { s.normals(dst, l.mean, l.sd) }

// step is 1 for true.
func step(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}
