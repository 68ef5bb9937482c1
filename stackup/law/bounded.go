package law

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

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

// curvilinear is uniform between limits that are themselves not known exactly.
type curvilinear struct{ middle, half, inexact float64 }

// NewCurvilinearTrapezoid returns the uniform distribution between limits that are not known exactly: lowest lies
// anywhere within ±inexact of its nominal value, highest as far on the other side of the middle. It returns a
// [fault.FieldError] unless the limits are finite and in order and 0 ≤ inexact ≤ half their distance.
//
// Source: JCGM 101:2008, 6.4.3.
func NewCurvilinearTrapezoid(lowest, highest, inexact float64) (Law, error) {
	const name = "curvilinear trapezoid"
	if err := check(name, interval(lowest, highest)); err != nil {
		return nil, err
	}
	half := (highest - lowest) / 2
	if err := check(name, must(inexact >= 0 && inexact <= half, "inexactness", inexact, "0 to half the distance of the limits")); err != nil {
		return nil, err
	}
	l, outer := curvilinear{lowest + half, half, inexact}, half+inexact
	w2, d2 := half*half, inexact*inexact
	m := Moments{Mean: l.middle, Variance: w2/3 + d2/9}
	m.ExcessKurtosis = (w2*w2+2*w2*d2+d2*d2/5)/5/(m.Variance*m.Variance) - 3
	return newBounded(l.middle-outer, l.middle+outer, l, m), nil
}

// within: with H uniform over half ± inexact and X uniform over ±H it is E max(H − m, 0)/(2H) at a deviation m from
// the middle.
func (l curvilinear) within(d, rest float64, upper bool) float64 {
	switch {
	case d > rest:
		return 1 - l.within(rest, d, !upper)
	case d <= 2*l.inexact:
		return l.flank(d)
	}
	slope, inFlank := l.slope()
	return inFlank + (d-2*l.inexact)*slope
}

// flank returns the share within d of an end, d ≤ 2 inexact: (d − m log(1 + d/m))/(4 inexact).
func (l curvilinear) flank(d float64) float64 {
	m := l.half + l.inexact - d
	switch {
	case d <= 0:
		return 0
	case m <= 0:
		return 0.5
	}
	return -m * logBend(d/m) / (4 * l.inexact)
}

// slope returns the density between the flanks, log(1 + t)/(4 inexact) with t = 2 inexact/(half − inexact), and the
// share of one flank.
func (l curvilinear) slope() (slope, inFlank float64) {
	inner := l.half - l.inexact
	t := 2 * l.inexact / inner
	switch {
	case inner == 0:
		return 0, 0.5
	case t == 0:
		return 1 / (2 * l.half), 0
	}
	return math.Log1p(t) / t / (2 * inner), -logBend(t) / (2 * t)
}

func (l curvilinear) inset(share float64, _ bool) float64 {
	outer := l.half + l.inexact
	if share == 0.5 {
		return outer
	}
	slope, inFlank := l.slope()
	if share >= inFlank {
		return 2*l.inexact + (share-inFlank)/slope
	}
	return solve(l.flank, share, 1, math.Sqrt(8*l.inexact*outer*share), 2*l.inexact)
}

// Draw fills dst with the next values of a stream, each from two uniform numbers: the limits, then the place between them.
func (l curvilinear) Draw(dst []float64, s *Stream) {
	for i := range dst {
		half := l.half + float64(l.inexact*(2*s.Float64()-1))
		dst[i] = l.middle + float64(half*(2*s.Float64()-1))
	}
}

// beta is bounded, with a hump, a slope or a bowl as its two shapes say.
type beta struct {
	lowest, highest float64
	a, b            float64
}

// NewBeta returns the beta distribution from lowest to highest with density proportional to
// (x − lowest)^(a−1) (highest − x)^(b−1). It returns a [fault.FieldError] unless the ends are finite and in order and
// 0 < a, b ≤ 1e6.
func NewBeta(lowest, highest, a, b float64) (Law, error) {
	const name = "beta"
	if err := check(name, interval(lowest, highest)); err != nil {
		return nil, err
	}
	// The incomplete beta function loses a digit for every tenfold of a shape, and beyond this all: such a
	// distribution is normal but for its name.
	const most = 1e6
	for i, v := range [2]float64{a, b} {
		if !(v > 0 && v <= most) {
			return nil, bad(name, [2]string{"first shape", "second shape"}[i], v, "> 0 and at most 1e6")
		}
	}
	width, n := highest-lowest, a+b
	return newBounded(lowest, highest, beta{lowest, highest, a, b}, Moments{
		Mean:           lowest + width*(a/n),
		Variance:       width * width * (a / n) * (b / n) / (n + 1),
		Skewness:       2 * (b - a) / (n + 2) * math.Sqrt((n+1)/a/b),
		ExcessKurtosis: 6 * ((a-b)*(a-b)/a/b*(n+1) - (n + 2)) / (n + 2) / (n + 3),
	}), nil
}

// shapes are those of an end, and of the other.
func (l beta) shapes(upper bool) (own, other float64) {
	if upper {
		return l.b, l.a
	}
	return l.a, l.b
}

func (l beta) within(d, rest float64, upper bool) float64 {
	a, b := l.shapes(upper)
	return incompleteBeta(a, b, d, rest, l.highest-l.lowest)
}

// incompleteBeta is the regularised incomplete beta function of d/width, rest being width − d.
func incompleteBeta(a, b, d, rest, width float64) float64 {
	switch {
	case d <= 0:
		return 0
	case rest <= 0:
		return 1
	}
	if rest < d { // rest/width has more digits, unless the share is small
		const most = 0.9
		if other := mathext.RegIncBeta(b, a, rest/width); other < most {
			return 1 - other
		}
	}
	return mathext.RegIncBeta(a, b, d/width)
}

func (l beta) inset(p float64, upper bool) float64 {
	a, b := l.shapes(upper)
	tail := func(r float64) float64 { return incompleteBeta(a, b, r, 1-r, 1) }
	// the power law near the end; never past the mean
	start := min(math.Exp((math.Log(p*a)+mathext.Lbeta(a, b))/a), a/(a+b))
	return (l.highest - l.lowest) * solve(tail, p, 1, start, 1)
}

// Draw fills dst with the next values of a stream, each the share of one of two gamma numbers in their sum.
func (l beta) Draw(dst []float64, s *Stream) {
	width := l.highest - l.lowest
	for i := range dst {
		d := s.logGamma(l.a) - s.logGamma(l.b)
		if d < 0 {
			e := math.Exp(d)
			dst[i] = l.lowest + float64(width*(e/(1+e)))
		} else {
			e := math.Exp(-d)
			dst[i] = l.highest - float64(width*(e/(1+e)))
		}
	}
}

// logGamma returns the logarithm of the next gamma number of scale 1; a logarithm, since small shapes give numbers below any float64.
//
// Source: Marsaglia and Tsang, A simple method for generating gamma variables, ACM TOMS 26 (2000); section 6 for shapes below 1.
func (s *Stream) logGamma(shape float64) float64 {
	var boost float64
	if shape < 1 {
		boost = math.Log(s.Float64()) / shape
		shape++
	}
	d := shape - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := s.Normal()
		v := 1 + float64(c*x)
		if v <= 0 {
			continue
		}
		v = v * v * v
		if math.Log(s.Float64()) < 0.5*x*x+d*(1-v+math.Log(v)) {
			return math.Log(d*v) + boost
		}
	}
}
