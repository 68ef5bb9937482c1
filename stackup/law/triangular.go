package law

import "math"

// Triangular is the symmetric triangular law: the sum of two equal uniform ones.
type Triangular struct{ centre, half float64 }

// NewTriangular returns the symmetric triangular law over centre ± half. It returns a [ParameterError] unless centre is finite and half ≥ 0.
func NewTriangular(centre, half float64) (Triangular, error) {
	if err := finite("triangular", []string{"centre"}, centre); err != nil {
		return Triangular{}, err
	}
	if err := atLeastZero("triangular", "half-width", half); err != nil {
		return Triangular{}, err
	}
	return Triangular{centre, half}, nil
}

// CDF returns P(X ≤ x).
func (l Triangular) CDF(x float64) float64 {
	lowest, highest := l.Support()
	if x >= highest {
		return 1
	}
	return l.below(x-lowest, highest-x)
}

// Survival returns P(X > x).
func (l Triangular) Survival(x float64) float64 {
	lowest, highest := l.Support()
	if x >= highest {
		return 0
	}
	return l.below(highest-x, x-lowest)
}

// below returns the share within d of one end, rest being the distance to the other.
func (l Triangular) below(d, rest float64) float64 {
	switch {
	case math.IsNaN(d):
		return d
	case d <= 0:
		return 0
	case rest <= 0:
		return 1
	case d <= rest:
		t := d / l.half
		return t * t / 2
	}
	t := rest / l.half
	return 1 - t*t/2
}

// Quantile returns the x below which a share p lies.
func (l Triangular) Quantile(p float64) float64 {
	lowest, highest := l.Support()
	if p > 0.5 && p <= 1 {
		return highest - l.inset(1-p)
	}
	return lowest + l.inset(p)
}

// UpperQuantile returns the x above which a share q lies.
func (l Triangular) UpperQuantile(q float64) float64 {
	lowest, highest := l.Support()
	if q > 0.5 && q <= 1 {
		return lowest + l.inset(1-q)
	}
	return highest - l.inset(q)
}

// inset returns the distance from an end within which a share lies, at most half; NaN when it is no probability.
func (l Triangular) inset(share float64) float64 {
	if share > 1 {
		return math.NaN()
	}
	return l.half * math.Sqrt(2*share)
}

// Moments returns the mean, the variance half²/6, and the shape.
func (l Triangular) Moments() Moments {
	if l.half == 0 {
		return Moments{Mean: l.centre}
	}
	return Moments{Mean: l.centre, Variance: l.half * l.half / 6, ExcessKurtosis: -0.6}
}

// Support returns the interval centre ± half.
func (l Triangular) Support() (lowest, highest float64) { return l.centre - l.half, l.centre + l.half }

// Draw fills dst with the next values of a stream, each the difference of two uniform numbers.
func (l Triangular) Draw(dst []float64, s *Stream) {
	for i := range dst {
		dst[i] = l.centre + float64(l.half*(s.Float64()-s.Float64()))
	}
}
