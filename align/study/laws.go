package study

import (
	"errors"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// errNoLaw means that a source names no law that there is.
var errNoLaw = errors.New("no such law")

// inputOf is the law of a source, in the record's own units, unit for lengths: shift included, between its limits.
func inputOf(v *record.Vary, unit tolerance.Length) (stackup.Input, error) {
	in := stackup.Input{Name: v.Name}
	var err error
	if len(v.At.List) == 2 {
		in.Plane, err = planeOf(v, unit)
		return in, err
	}
	in.Law, err = lawOf(&v.Law, shiftOf(&v.Law, 0), v.Law.Size.Value, unit)
	if err == nil {
		in.Law, err = between(in.Law, v.Limits)
	}
	return in, err
}

// shiftOf is the shift of one component.
func shiftOf(l *record.Law, axis int) float64 {
	if axis < len(l.Shift) {
		return l.Shift[axis].Value
	}
	return 0
}

// between cuts a law off at its limits, where it has any.
func between(l law.Law, limits *record.Pair) (law.Law, error) {
	if limits == nil {
		return l, nil
	}
	return law.Truncate(l, limits[0].Value, limits[1].Value)
}

// planeOf is the law of a pair of deviations.
func planeOf(v *record.Vary, unit tolerance.Length) (law.Plane, error) {
	l := &v.Law
	x, y, size := shiftOf(l, 0), shiftOf(l, 1), l.Size.Value
	switch l.Kind {
	case "disc":
		return law.NewDisc(x, y, size)
	case "ring":
		return law.NewRing(x, y, size)
	case "ellipse":
		axes := l.Values()
		if len(axes) != 2 {
			return nil, errNoLaw
		}
		clock := parameter(l, "clock", 0, 0)
		return law.NewEllipse(x, y, axes[0], axes[1], math.Pi/2-clock*math.Pi/180) // clockwise from 12 o'clock
	}
	sizes := l.Values()
	if len(sizes) == 1 {
		sizes = append(sizes, sizes[0])
	}
	if r := parameter(l, "correlation", 0, 0); r != 0 {
		return law.NewBivariate(x, y, sizes[0]*sizes[0], sizes[1]*sizes[1], r*sizes[0]*sizes[1])
	}
	var p law.Pair
	var err error
	for k, to := range []*law.Law{&p.X, &p.Y} {
		if *to, err = lawOf(l, shiftOf(l, k), sizes[k], unit); err == nil {
			*to, err = between(*to, v.Limits)
		}
		if err != nil {
			return nil, err
		}
	}
	return p, nil
}

// parameter is number i of a law's further key, or otherwise where it is left out.
func parameter(l *record.Law, key string, i int, otherwise float64) float64 {
	if p := l.Parameter(key); i < len(p) {
		return p[i]
	}
	return otherwise
}

// lawOf is the law of one deviation, shifted: of a half width, a scale, or whatever its size means.
// unit is that of lengths in the record.
func lawOf(l *record.Law, shift, size float64, unit tolerance.Length) (law.Law, error) {
	more := func(key string) float64 { return parameter(l, key, 0, math.NaN()) }
	switch l.Kind {
	case "normal":
		return law.NewNormal(shift, size)
	case "uniform":
		return law.NewUniform(shift-size, shift+size)
	case "triangular":
		return law.NewTriangular(shift, size)
	case "trapezoidal":
		return law.NewTrapezoidal(shift-size, shift+size, more("top"))
	case "curvilinear":
		return law.NewCurvilinearTrapezoid(shift-size, shift+size, more("inexact"))
	case "arcsine":
		return law.NewArcsine(shift-size, shift+size)
	case "beta":
		return law.NewBeta(shift-size, shift+size, more("shapes"), parameter(l, "shapes", 1, math.NaN()))
	case "student":
		return law.NewStudent(shift, size, more("freedom"))
	case "lognormal":
		return law.NewLogNormal(shift, math.Log(size), more("spread"))
	case "weibull":
		return law.NewWeibull(shift, size, more("shape"))
	case "discrete":
		return law.NewDiscrete(shifted(l.Values(), shift), weightsOf(l, len(l.List)))
	case "sample":
		return law.NewSample(shifted(l.Values(), shift))
	case "fit":
		sd, greatest, err := l.FitSpread()
		if err != nil {
			return nil, err
		}
		n, err := law.NewNormal(shift, float64(sd/unit))
		if err != nil {
			return nil, err
		}
		return law.Truncate(n, shift-float64(greatest/unit), shift+float64(greatest/unit))
	case "mixture":
		var list []law.Law
		for i := range l.Laws {
			m := &l.Laws[i]
			one, err := lawOf(m, shift+shiftOf(m, 0), m.Size.Value, unit)
			if err != nil {
				return nil, err
			}
			list = append(list, one)
		}
		return law.NewMixture(list, weightsOf(l, len(list)))
	}
	return nil, errNoLaw
}

// shifted moves every value.
func shifted(values []float64, by float64) []float64 {
	for i := range values {
		values[i] += by
	}
	return values
}

// weightsOf are a law's weights; alike where none are given.
func weightsOf(l *record.Law, n int) []float64 {
	if w := l.Parameter("weights"); w != nil {
		return w
	}
	out := make([]float64, n)
	for i := range out {
		out[i] = 1
	}
	return out
}

// upright turns a plane law whose components hang together to its principal axes, along which they
// do not: the law along those, and what each of them moves.
//
//	x = u cos θ - v sin θ,  y = u sin θ + v cos θ
//
// Source: hand calculation: the axes of a covariance matrix of two, tan 2θ = 2 cov / (var x - var y).
func upright(p law.Plane, sx, sy align.Source) (law.Plane, align.Source, align.Source, error) {
	xx, yy, xy := p.Covariance()
	if xy == 0 {
		return p, sx, sy, nil
	}
	theta := math.Atan2(2*xy, xx-yy) / 2
	reach, ellipse := p.Reach()
	if ellipse {
		theta = reach.Angle
	}
	sin, cos := math.Sincos(theta)
	x, y := p.Mean()
	mu, mv := x*cos+y*sin, y*cos-x*sin
	u, v := align.Source{Name: sx.Name}, align.Source{Name: sy.Name}
	for _, m := range sx.Moves {
		u.Moves = append(u.Moves, align.Move{Of: m.Of, Gain: m.Gain * cos})
		v.Moves = append(v.Moves, align.Move{Of: m.Of, Gain: -m.Gain * sin})
	}
	for _, m := range sy.Moves {
		u.Moves = append(u.Moves, align.Move{Of: m.Of, Gain: m.Gain * sin})
		v.Moves = append(v.Moves, align.Move{Of: m.Of, Gain: m.Gain * cos})
	}
	if ellipse {
		e, err := law.NewEllipse(mu, mv, reach.A, reach.B, 0)
		return e, u, v, err
	}
	var pair law.Pair
	var err error
	if pair.X, err = law.NewNormal(mu, math.Sqrt(max(0, xx*cos*cos+2*xy*sin*cos+yy*sin*sin))); err != nil {
		return nil, u, v, err
	}
	pair.Y, err = law.NewNormal(mv, math.Sqrt(max(0, xx*sin*sin-2*xy*sin*cos+yy*cos*cos)))
	return pair, u, v, err
}
