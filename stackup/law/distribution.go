package law

import "math"

// distribution is what all distributions of this package share: the ends of the support, what is no probability,
// constants, and the moments, which are worked out once. All are immutable; the zero value is none.
type distribution struct {
	form
	lowest, highest float64
	moments         Moments
}

// form is what sets one distribution apart from the others. Draw also draws constants.
type form interface {
	// tail returns P(X > x), or when not above P(X ≤ x), for lowest ≤ x < highest.
	tail(x float64, above bool) float64
	// quantile returns the x whose tail is 0 < p < 1, of a distribution that is no constant.
	quantile(p float64, above bool) float64
	Draw(dst []float64, s *Stream)
}

func (d distribution) CDF(x float64) float64              { return d.share(x, false) }
func (d distribution) Survival(x float64) float64         { return d.share(x, true) }
func (d distribution) Quantile(p float64) float64         { return d.at(p, false) }
func (d distribution) UpperQuantile(q float64) float64    { return d.at(q, true) }
func (d distribution) Moments() Moments                   { return d.moments }
func (d distribution) Support() (lowest, highest float64) { return d.lowest, d.highest }

// share is what lies up to x, or above it.
func (d distribution) share(x float64, above bool) float64 {
	switch {
	case math.IsNaN(x):
		return x
	case x >= d.highest:
		return step(!above)
	case x < d.lowest:
		return step(above)
	}
	return min(d.tail(x, above), 1)
}

// at is the value with a share p up to it, or above it.
func (d distribution) at(p float64, above bool) float64 {
	switch {
	case !(p >= 0 && p <= 1):
		return math.NaN()
	case p == step(above) || d.lowest == d.highest:
		return d.lowest
	case p == step(!above):
		return d.highest
	}
	return d.quantile(p, above)
}

// step is 1 for true.
func step(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// bounded is the form of a distribution between two ends, described from either of them.
type bounded struct {
	ends
	lowest, highest float64
}

// ends says how much lies near an end, the upper one when upper is true.
type ends interface {
	// within is the share within d ≥ 0 of the end, rest ≥ 0 being the distance to the other.
	within(d, rest float64, upper bool) float64
	// inset is the distance from the end within which a share of more than 0, at most half lies.
	inset(share float64, upper bool) float64
	Draw(dst []float64, s *Stream)
}

// newBounded has the moments, but for a constant, whose variance and shape are 0.
func newBounded(lowest, highest float64, e ends, m Moments) Law {
	if lowest == highest {
		m = Moments{Mean: m.Mean}
	}
	return distribution{bounded{e, lowest, highest}, lowest, highest, m}
}

func (b bounded) tail(x float64, above bool) float64 {
	if above {
		return b.within(b.highest-x, x-b.lowest, true)
	}
	return b.within(x-b.lowest, b.highest-x, false)
}

func (b bounded) quantile(p float64, above bool) float64 {
	if p > 0.5 {
		p, above = 1-p, !above
	}
	if above {
		return b.highest - b.inset(p, true)
	}
	return b.lowest + b.inset(p, false)
}
