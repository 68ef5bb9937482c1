package floatset

import (
	"math"

	"example.com/borestack/align/internal/dense"
)

// Cover bounds a·v over F without a search: for any multiplier μ it is never more than
//
//	Base + One·|(Along + μ, Across)| + Two·|(Beta, μ)| + Off·μ,
//
// Base, Along, Across and Beta being linear in a. For the right μ it is the greatest itself, by
// weak duality of the equation of two discs (two.go); a float of one disc, or along a line, has
// Two and Off 0 and μ = 0.
type Cover struct{ One, Two, Off float64 }

// Terms are the parts of a cover that are linear in a.
type Terms struct{ Base, Along, Across, Beta float64 }

// Cover is the cover of F; false where nothing so simple bounds it.
func (s *Set) Cover() (Cover, bool) {
	s.lookForSets()
	switch {
	case s.Dim == 0:
		return Cover{}, true
	case s.Dim == 1:
		lo, hi := s.interval(s.Base, s.Span[0])
		return Cover{One: (hi - lo) / 2}, !math.IsInf(hi-lo, 0)
	case len(s.sets) >= 2:
		t := &s.pair
		if !(t.arm > noArm*s.CharLength) {
			return Cover{}, false
		}
		return Cover{t.one.Radius, t.two.Radius, t.off}, true
	case len(s.sets) == 1:
		return Cover{One: s.sets[0].Radius}, true
	}
	return Cover{}, false
}

// Terms are those of the cover for a.
func (s *Set) Terms(a Vec) Terms {
	switch {
	case s.Dim < 2:
		at := s.Vec(s.Base)
		t := Terms{Base: a.X*at.X + a.Y*at.Y + a.G*at.G}
		if s.Dim == 1 {
			lo, hi := s.interval(s.Base, s.Span[0])
			t.Across = a.X*s.Span[0][0] + a.Y*s.Span[0][1] + a.G*s.Span[0][2]/s.CharLength
			t.Base += (lo + hi) / 2 * t.Across
		}
		return t
	case len(s.sets) >= 2:
		t := &s.pair
		t.pull(a)
		return Terms{-a.X*t.one.PX - a.Y*t.one.PY - t.beta*t.ahead, t.along, t.across, t.beta}
	}
	f := &s.sets[0]
	return Terms{s.Target.G*a.G - f.PX*a.X - f.PY*a.Y, a.Y, a.X, 0}
}

// Multiplier is the μ for which the cover is the greatest of a·v, v being where that is attained
// and t the terms for a; 0 where the cover has none.
func (s *Set) Multiplier(v Vec, t Terms) float64 {
	if len(s.sets) < 2 || s.Dim < 2 {
		return 0
	}
	p := &s.pair
	along := func(d *shiftSet) (q, n float64) {
		x, y := d.from(v)
		return (x*p.qx + y*p.qy) / d.Radius, (y*p.qx - x*p.qy) / d.Radius
	}
	// The second points along (Beta, −μ), the first along (Across, Along + μ): by the one that
	// tells it better.
	q1, n1 := along(p.one)
	q2, n2 := along(p.two)
	if math.Abs(q2) >= math.Abs(q1) {
		return -t.Beta * n2 / q2
	}
	return t.Across*n1/q1 - t.Along
}

// Least is the bound for the better of the two simplest multipliers, that of either disc alone.
func (c *Cover) Least(t Terms) float64 {
	h := c.One*dense.Length(t.Along, t.Across) + c.Two*math.Abs(t.Beta)
	if c.Two > 0 {
		h = math.Min(h, c.One*math.Abs(t.Across)+c.Two*dense.Length(t.Beta, t.Along)-c.Off*t.Along)
	}
	return t.Base + h
}

// With is the bound for a multiplier.
func (c *Cover) With(t Terms, mu float64) float64 {
	return t.Base + c.One*dense.Length(t.Along+mu, t.Across) + c.Two*dense.Length(t.Beta, mu) + c.Off*mu
}

// Follows is how fast the right multiplier changes as the terms change by d from t, where it is mu.
//
// Derivation: the bound's derivative by μ stays 0.
func (c *Cover) Follows(t, d Terms, mu float64) float64 {
	one, two := dense.Length(t.Along+mu, t.Across), dense.Length(t.Beta, mu)
	if one == 0 || two == 0 {
		return 0
	}
	one, two = c.One/(one*one*one), c.Two/(two*two*two)
	bend := one*t.Across*t.Across + two*t.Beta*t.Beta
	turns := one*t.Across*(t.Across*d.Along-(t.Along+mu)*d.Across) - two*mu*t.Beta*d.Beta
	if !(bend > 0) || c.Two == 0 {
		return 0
	}
	return -turns / bend
}

// Turned are terms of a direction x of a and y of b, as these are of the directions that they
// belong to.
func Turned(a, b *Terms, x, y float64) Terms {
	return Terms{x*a.Base + y*b.Base, x*a.Along + y*b.Along, x*a.Across + y*b.Across, x*a.Beta + y*b.Beta}
}
