package law

import "math"

// CurvilinearTrapezoid is the uniform law between limits that are themselves not known exactly: the lower limit lies anywhere within ±inexact of its nominal value, the upper one as far on the other side of the middle.
//
// Source: JCGM 101:2008, 6.4.3.
type CurvilinearTrapezoid struct{ middle, half, inexact float64 }

// NewCurvilinearTrapezoid returns the law with limits lowest ± inexact and highest ∓ inexact. It returns a [ParameterError] unless the limits are finite and in order and 0 ≤ inexact ≤ half their distance.
func NewCurvilinearTrapezoid(lowest, highest, inexact float64) (CurvilinearTrapezoid, error) {
	const name = "curvilinear trapezoid"
	if err := interval(name, lowest, highest); err != nil {
		return CurvilinearTrapezoid{}, err
	}
	half := (highest - lowest) / 2
	if !(inexact >= 0 && inexact <= half) {
		return CurvilinearTrapezoid{}, &ParameterError{name, "inexactness", inexact, "0 to half the distance of the limits"}
	}
	return CurvilinearTrapezoid{lowest + half, half, inexact}, nil
}

// CDF returns P(X ≤ x).
func (l CurvilinearTrapezoid) CDF(x float64) float64 {
	lowest, highest := l.Support()
	if x >= highest {
		return 1
	}
	return l.below(x-lowest, highest-x)
}

// Survival returns P(X > x).
func (l CurvilinearTrapezoid) Survival(x float64) float64 {
	lowest, highest := l.Support()
	if x >= highest {
		return 0
	}
	return l.below(highest-x, x-lowest)
}

// below returns the share within d of one end, rest being the distance to the other. With H uniform over half ± inexact and X uniform over ±H it is E max(H − m, 0)/(2H) at a deviation m from the middle.
func (l CurvilinearTrapezoid) below(d, rest float64) float64 {
	switch {
	case math.IsNaN(d):
		return d
	case d <= 0:
		return 0
	case rest <= 0:
		return 1
	case d > rest:
		return 1 - l.below(rest, d)
	case d <= 2*l.inexact:
		return l.flank(d)
	}
	slope, inFlank := l.slope()
	return inFlank + (d-2*l.inexact)*slope
}

// flank returns the share within d of an end, d ≤ 2 inexact: (d − m log(1 + d/m))/(4 inexact).
func (l CurvilinearTrapezoid) flank(d float64) float64 {
	m := l.half + l.inexact - d
	if m <= 0 {
		return 0.5
	}
	return -m * logBend(d/m) / (4 * l.inexact)
}

// slope returns the density between the flanks, log(1 + t)/(4 inexact) with t = 2 inexact/(half − inexact), and the share of one flank.
func (l CurvilinearTrapezoid) slope() (slope, inFlank float64) {
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

// Quantile returns the x below which a share p lies.
func (l CurvilinearTrapezoid) Quantile(p float64) float64 {
	lowest, highest := l.Support()
	if p > 0.5 && p <= 1 {
		return highest - l.inset(1-p)
	}
	return lowest + l.inset(p)
}

// UpperQuantile returns the x above which a share q lies.
func (l CurvilinearTrapezoid) UpperQuantile(q float64) float64 {
	lowest, highest := l.Support()
	if q > 0.5 && q <= 1 {
		return lowest + l.inset(1-q)
	}
	return highest - l.inset(q)
}

// inset returns the distance from an end within which a share of at most half lies.
func (l CurvilinearTrapezoid) inset(share float64) float64 {
	outer := l.half + l.inexact
	switch {
	case !(share >= 0 && share <= 1):
		return math.NaN()
	case share == 0 || l.half == 0:
		return 0
	case share == 0.5:
		return outer
	}
	slope, inFlank := l.slope()
	if share >= inFlank {
		return 2*l.inexact + (share-inFlank)/slope
	}
	density := func(d float64) float64 { return math.Log1p(d/(outer-d)) / (4 * l.inexact) }
	return solve(l.flank, density, share, 1, math.Sqrt(8*l.inexact*outer*share), 2*l.inexact, logScale)
}

// Moments returns the mean, the variance half²/3 + inexact²/9, and the shape.
func (l CurvilinearTrapezoid) Moments() Moments {
	m := Moments{Mean: l.middle}
	if l.half > 0 {
		w2, d2 := l.half*l.half, l.inexact*l.inexact
		m.Variance = w2/3 + d2/9
		m.ExcessKurtosis = (w2*w2+2*w2*d2+d2*d2/5)/5/(m.Variance*m.Variance) - 3
	}
	return m
}

// Support returns the outermost limits.
func (l CurvilinearTrapezoid) Support() (lowest, highest float64) {
	outer := l.half + l.inexact
	return l.middle - outer, l.middle + outer
}

// Draw fills dst with the next values of a stream, each from two uniform numbers: the limits, then the place between them.
func (l CurvilinearTrapezoid) Draw(dst []float64, s *Stream) {
	for i := range dst {
		half := l.half + float64(l.inexact*(2*s.Float64()-1))
		dst[i] = l.middle + float64(half*(2*s.Float64()-1))
	}
}
