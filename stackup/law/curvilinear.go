package law

import "math"

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
	density := func(d float64) float64 { return math.Log1p(d/(outer-d)) / (4 * l.inexact) }
	return solve(l.flank, density, share, 1, math.Sqrt(8*l.inexact*outer*share), 2*l.inexact, logScale)
}

// Draw fills dst with the next values of a stream, each from two uniform numbers: the limits, then the place between them.
func (l curvilinear) Draw(dst []float64, s *Stream) {
	for i := range dst {
		half := l.half + float64(l.inexact*(2*s.Float64()-1))
		dst[i] = l.middle + float64(half*(2*s.Float64()-1))
	}
}
