package law

import "math"

// Arcsine is the U-shaped law of a sine wave read at any time: a deviation that cycles between two limits.
//
// Source: JCGM 101:2008, 6.4.6.
type Arcsine struct{ lowest, highest float64 }

// NewArcsine returns the arcsine law from lowest to highest. It returns a [ParameterError] unless both are finite and in order.
func NewArcsine(lowest, highest float64) (Arcsine, error) {
	if err := interval("arcsine", lowest, highest); err != nil {
		return Arcsine{}, err
	}
	return Arcsine{lowest, highest}, nil
}

// CDF returns P(X ≤ x).
func (l Arcsine) CDF(x float64) float64 {
	if x >= l.highest {
		return 1
	}
	return l.below(x-l.lowest, l.highest-x)
}

// Survival returns P(X > x).
func (l Arcsine) Survival(x float64) float64 {
	if x >= l.highest {
		return 0
	}
	return l.below(l.highest-x, x-l.lowest)
}

// below returns the share within d of one end, rest being the distance to the other: 2/π atan √(d/rest).
func (l Arcsine) below(d, rest float64) float64 {
	if d <= 0 {
		return 0
	}
	return 2 / math.Pi * math.Atan2(math.Sqrt(d), math.Sqrt(max(rest, 0)))
}

// Quantile returns the x below which a share p lies.
func (l Arcsine) Quantile(p float64) float64 {
	if p > 0.5 && p <= 1 {
		return l.highest - l.inset(1-p)
	}
	return l.lowest + l.inset(p)
}

// UpperQuantile returns the x above which a share q lies.
func (l Arcsine) UpperQuantile(q float64) float64 {
	if q > 0.5 && q <= 1 {
		return l.lowest + l.inset(1-q)
	}
	return l.highest - l.inset(q)
}

// inset returns the distance from an end within which a share lies.
func (l Arcsine) inset(share float64) float64 {
	if !(share >= 0 && share <= 1) {
		return math.NaN()
	}
	sin := math.Sin(math.Pi / 2 * share)
	return (l.highest - l.lowest) * sin * sin
}

// Moments returns the mean, the variance width²/8, and the shape.
func (l Arcsine) Moments() Moments {
	width := l.highest - l.lowest
	m := Moments{Mean: l.lowest + width/2}
	if width > 0 {
		m.Variance, m.ExcessKurtosis = width*width/8, -1.5
	}
	return m
}

// Support returns the interval.
func (l Arcsine) Support() (lowest, highest float64) { return l.lowest, l.highest }

// Draw fills dst with the next values of a stream: the cosine of twice the direction of a point of the unit disc.
func (l Arcsine) Draw(dst []float64, s *Stream) {
	width := l.highest - l.lowest
	for i := range dst {
		u, v := direction(s)
		uu, vv := float64(u*u), float64(v*v)
		dst[i] = min(l.lowest+float64(width*(uu/(uu+vv))), l.highest)
	}
}
