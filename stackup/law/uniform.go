package law

import "math"

// Uniform is the uniform law over an interval.
type Uniform struct{ lowest, highest float64 }

// NewUniform returns the uniform law from lowest to highest. It returns a [ParameterError] unless both are finite and lowest ≤ highest.
func NewUniform(lowest, highest float64) (Uniform, error) {
	if err := interval("uniform", lowest, highest); err != nil {
		return Uniform{}, err
	}
	return Uniform{lowest, highest}, nil
}

// CDF returns P(X ≤ x).
func (l Uniform) CDF(x float64) float64 {
	switch {
	case x >= l.highest:
		return 1
	case x <= l.lowest:
		return 0
	}
	return (x - l.lowest) / (l.highest - l.lowest)
}

// Survival returns P(X > x).
func (l Uniform) Survival(x float64) float64 {
	switch {
	case x >= l.highest:
		return 0
	case x <= l.lowest:
		return 1
	}
	return (l.highest - x) / (l.highest - l.lowest)
}

// Quantile returns the x below which a share p lies.
func (l Uniform) Quantile(p float64) float64 {
	if !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	if p > 0.5 {
		return l.highest - (1-p)*(l.highest-l.lowest)
	}
	return l.lowest + p*(l.highest-l.lowest)
}

// UpperQuantile returns the x above which a share q lies.
func (l Uniform) UpperQuantile(q float64) float64 {
	if !(q >= 0 && q <= 1) {
		return math.NaN()
	}
	if q > 0.5 {
		return l.lowest + (1-q)*(l.highest-l.lowest)
	}
	return l.highest - q*(l.highest-l.lowest)
}

// Moments returns the mean, the variance width²/12, and the shape.
func (l Uniform) Moments() Moments {
	width := l.highest - l.lowest
	if width == 0 {
		return Moments{Mean: l.lowest}
	}
	return Moments{Mean: l.lowest + width/2, Variance: width * width / 12, ExcessKurtosis: -1.2}
}

// Support returns the interval.
func (l Uniform) Support() (lowest, highest float64) { return l.lowest, l.highest }

// Draw fills dst with the next values of a stream.
func (l Uniform) Draw(dst []float64, s *Stream) {
	s.uniforms(dst, l.lowest, l.highest-l.lowest)
	for i, x := range dst { // rounding may pass the end
		if x > l.highest {
			dst[i] = l.highest
		}
	}
}
