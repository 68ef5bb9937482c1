package law

import "math"

// uniform lies anywhere in an interval.
type uniform struct{ lowest, highest float64 }

// NewUniform returns the uniform distribution from lowest to highest. It returns a [fault.FieldError] unless both
// are finite and lowest ≤ highest.
func NewUniform(lowest, highest float64) (Law, error) {
	if err := check("uniform", interval(lowest, highest)); err != nil {
		return nil, err
	}
	width := highest - lowest
	m := Moments{Mean: lowest + width/2, Variance: width * width / 12, ExcessKurtosis: -1.2}
	return newBounded(lowest, highest, uniform{lowest, highest}, m), nil
}

func (l uniform) within(d, _ float64, _ bool) float64 { return d / (l.highest - l.lowest) }
func (l uniform) inset(share float64, _ bool) float64 { return share * (l.highest - l.lowest) }

// Draw fills dst with the next values of a stream.
func (l uniform) Draw(dst []float64, s *Stream) {
	s.uniforms(dst, l.lowest, l.highest-l.lowest)
	for i, x := range dst { // rounding may pass the end
		if x > l.highest {
			dst[i] = l.highest
		}
	}
}

// trapezoidal is symmetric: the sum of two uniform deviations.
type trapezoidal struct{ lowest, highest, top float64 }

// NewTrapezoidal returns the symmetric trapezoidal distribution from lowest to highest, flat over the middle share
// top of it: 0 is triangular, 1 uniform. It returns a [fault.FieldError] unless the ends are finite and in order and
// 0 ≤ top ≤ 1.
//
// Source: JCGM 101:2008, 6.4.4.
func NewTrapezoidal(lowest, highest, top float64) (Law, error) {
	const name = "trapezoidal"
	if err := check(name, interval(lowest, highest), must(top >= 0 && top <= 1, "top", top, "the flat share of the width, 0 to 1")); err != nil {
		return nil, err
	}
	l := trapezoidal{lowest, highest, top}
	return newBounded(lowest, highest, l, l.moments()), nil
}

// moments have the variance width²(1 + top²)/24.
func (l trapezoidal) moments() (m Moments) {
	width, t2 := l.highest-l.lowest, l.top*l.top
	m.Mean = l.lowest + width/2
	m.Variance = width * width * (1 + t2) / 24
	// two uniform ones of half-widths in the ratio (1 + top) : (1 − top), each with fourth cumulant −2/15 of its half-width⁴
	m.ExcessKurtosis = -1.2 * (1 + 6*t2 + t2*t2) / (2 * (1 + t2) * (1 + t2))
	return m
}

// shape returns the width of a flank and the density of the top.
func (l trapezoidal) shape() (ramp, height float64) {
	width := l.highest - l.lowest
	return width * (1 - l.top) / 2, 2 / (width * (1 + l.top))
}

func (l trapezoidal) within(d, rest float64, _ bool) float64 {
	ramp, height := l.shape()
	switch {
	case d < ramp:
		return height * d / ramp * d / 2
	case rest < ramp:
		return 1 - height*rest/ramp*rest/2
	}
	return height * (d - ramp/2)
}

func (l trapezoidal) inset(share float64, _ bool) float64 {
	ramp, height := l.shape()
	if share < height*ramp/2 {
		return math.Sqrt(2 * ramp * share / height)
	}
	return share/height + ramp/2
}

// Draw fills dst with the next values of a stream, each from two uniform numbers.
func (l trapezoidal) Draw(dst []float64, s *Stream) {
	half := (l.highest - l.lowest) / 2
	long, short := half*(1+l.top), half*(1-l.top)
	for i := range dst {
		d := float64(long*s.Float64()) + float64(short*s.Float64())
		dst[i] = min(l.lowest+d, l.highest)
	}
}

// triangular is a trapezoid without a top, drawn about its centre.
type triangular struct {
	trapezoidal
	centre, half float64
}

// NewTriangular returns the symmetric triangular distribution over centre ± half, that of the sum of two equal
// uniform deviations. It returns a [fault.FieldError] unless centre is finite and half ≥ 0.
func NewTriangular(centre, half float64) (Law, error) {
	const name = "triangular"
	if err := check(name, finite("centre", centre), atLeastZero("half-width", half)); err != nil {
		return nil, err
	}
	l := triangular{trapezoidal{centre - half, centre + half, 0}, centre, half}
	return newBounded(l.lowest, l.highest, l, Moments{Mean: centre, Variance: half * half / 6, ExcessKurtosis: -0.6}), nil
}

// Draw fills dst with the next values of a stream, each the difference of two uniform numbers.
func (l triangular) Draw(dst []float64, s *Stream) {
	for i := range dst {
		dst[i] = l.centre + float64(l.half*(s.Float64()-s.Float64()))
	}
}

// arcsine is U-shaped: a sine wave read at any time.
type arcsine struct{ lowest, highest float64 }

// NewArcsine returns the arcsine distribution from lowest to highest: of a deviation that cycles between two limits.
// It returns a [fault.FieldError] unless both are finite and in order.
//
// Source: JCGM 101:2008, 6.4.6.
func NewArcsine(lowest, highest float64) (Law, error) {
	if err := check("arcsine", interval(lowest, highest)); err != nil {
		return nil, err
	}
	width := highest - lowest
	m := Moments{Mean: lowest + width/2, Variance: width * width / 8, ExcessKurtosis: -1.5}
	return newBounded(lowest, highest, arcsine{lowest, highest}, m), nil
}

// within is 2/π atan √(d/rest).
func (l arcsine) within(d, rest float64, _ bool) float64 {
	return 2 / math.Pi * math.Atan2(math.Sqrt(d), math.Sqrt(rest))
}

func (l arcsine) inset(share float64, _ bool) float64 {
	sin := math.Sin(math.Pi / 2 * share)
	return (l.highest - l.lowest) * sin * sin
}

// Draw fills dst with the next values of a stream: the cosine of twice the direction of a point of the unit disc.
func (l arcsine) Draw(dst []float64, s *Stream) {
	width := l.highest - l.lowest
	for i := range dst {
		u, v := direction(s)
		uu, vv := float64(u*u), float64(v*v)
		dst[i] = min(l.lowest+float64(width*(uu/(uu+vv))), l.highest)
	}
}
