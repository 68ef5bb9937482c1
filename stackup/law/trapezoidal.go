package law

import "math"

// Trapezoidal is the symmetric trapezoidal law: the sum of two uniform ones.
//
// Source: JCGM 101:2008, 6.4.4.
type Trapezoidal struct{ lowest, highest, top float64 }

// NewTrapezoidal returns the symmetric trapezoidal law from lowest to highest, flat over the middle share top of it: 0 is the triangular law, 1 the uniform one. It returns a [ParameterError] unless the ends are finite and in order and 0 ≤ top ≤ 1.
func NewTrapezoidal(lowest, highest, top float64) (Trapezoidal, error) {
	const name = "trapezoidal"
	if err := interval(name, lowest, highest); err != nil {
		return Trapezoidal{}, err
	}
	if !(top >= 0 && top <= 1) {
		return Trapezoidal{}, &ParameterError{name, "top", top, "the flat share of the width, 0 to 1"}
	}
	return Trapezoidal{lowest, highest, top}, nil
}

// CDF returns P(X ≤ x).
func (l Trapezoidal) CDF(x float64) float64 {
	if x >= l.highest {
		return 1
	}
	return l.below(x-l.lowest, l.highest-x)
}

// Survival returns P(X > x).
func (l Trapezoidal) Survival(x float64) float64 {
	if x >= l.highest {
		return 0
	}
	return l.below(l.highest-x, x-l.lowest)
}

// below returns the share within d of one end, rest being the distance to the other.
func (l Trapezoidal) below(d, rest float64) float64 {
	ramp, height := l.shape()
	switch {
	case math.IsNaN(d):
		return d
	case d <= 0:
		return 0
	case rest <= 0:
		return 1
	case d < ramp:
		return height * d / ramp * d / 2
	case rest < ramp:
		return 1 - height*rest/ramp*rest/2
	}
	return height * (d - ramp/2)
}

// shape returns the width of a flank and the density of the top.
func (l Trapezoidal) shape() (ramp, height float64) {
	width := l.highest - l.lowest
	return width * (1 - l.top) / 2, 2 / (width * (1 + l.top))
}

// Quantile returns the x below which a share p lies.
func (l Trapezoidal) Quantile(p float64) float64 {
	if p > 0.5 && p <= 1 {
		return l.highest - l.inset(1-p)
	}
	return l.lowest + l.inset(p)
}

// UpperQuantile returns the x above which a share q lies.
func (l Trapezoidal) UpperQuantile(q float64) float64 {
	if q > 0.5 && q <= 1 {
		return l.lowest + l.inset(1-q)
	}
	return l.highest - l.inset(q)
}

// inset returns the distance from an end within which a share lies, at most half.
func (l Trapezoidal) inset(share float64) float64 {
	ramp, height := l.shape()
	switch {
	case !(share >= 0 && share <= 1):
		return math.NaN()
	case l.lowest == l.highest:
		return 0
	case share < height*ramp/2:
		return math.Sqrt(2 * ramp * share / height)
	}
	return share/height + ramp/2
}

// Moments returns the mean, the variance width²(1 + top²)/24, and the shape.
func (l Trapezoidal) Moments() Moments {
	width := l.highest - l.lowest
	m := Moments{Mean: l.lowest + width/2}
	if width > 0 {
		t2 := l.top * l.top
		m.Variance = width * width * (1 + t2) / 24
		// two uniform laws of half-widths in the ratio (1 + top) : (1 − top), each with fourth cumulant −2/15 of its half-width⁴
		m.ExcessKurtosis = -1.2 * (1 + 6*t2 + t2*t2) / (2 * (1 + t2) * (1 + t2))
	}
	return m
}

// Support returns the interval.
func (l Trapezoidal) Support() (lowest, highest float64) { return l.lowest, l.highest }

// Draw fills dst with the next values of a stream, each from two uniform numbers.
func (l Trapezoidal) Draw(dst []float64, s *Stream) {
	half := (l.highest - l.lowest) / 2
	long, short := half*(1+l.top), half*(1-l.top)
	for i := range dst {
		d := float64(long*s.Float64()) + float64(short*s.Float64())
		dst[i] = min(l.lowest+d, l.highest)
	}
}
