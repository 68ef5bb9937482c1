package align

import (
	"math"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/floatset"
)

// How far a shadow reaches in a direction is bounded without a search by the covers of its floats
// (internal/floatset), for any multipliers. With those of the farthest point known, turned as they
// turn there to first order, the bound is that point's itself, and further off it exceeds what it
// bounds by the fourth power of the angle.

// lobe bounds how far one loose joint's float takes the shadow.
type lobe struct {
	floatset.Cover
	x, y       floatset.Terms // of the directions of x and y,
	top, aside floatset.Terms // and of a top and square to it,
	mu, turns  float64        // and the multipliers there
}

// Of what is looked at outward from a top.
const (
	firstStep = 2   // times the root of the share that matters, rad
	widening  = 2.5 // of one step by the next: as the corners that it leaves
)

// cover finds the lobes; false where some float has none.
func (s *shadow) cover() bool {
	if s.coverKnown {
		return s.covers
	}
	s.coverKnown, s.covers = true, false
	s.lobes = dense.Resize(s.lobes, len(s.o.loose))
	s.restX, s.restY = s.x, s.y
	for l, j := range s.o.loose {
		gx, gy, at := (*[3]float64)(s.gx[3*l:]), (*[3]float64)(s.gy[3*l:]), s.o.from[j.joint]
		b := &s.lobes[l]
		*b = lobe{}
		if *gx == ([3]float64{}) && *gy == ([3]float64{}) {
			continue
		}
		var ok bool
		if b.Cover, ok = j.set.Cover(); !ok {
			return false
		}
		b.x, b.y = j.set.Terms(floatset.Vec{X: gx[0], Y: gx[1], G: gx[2]}), j.set.Terms(floatset.Vec{X: gy[0], Y: gy[1], G: gy[2]})
		s.restX -= gx[0]*at.X + gx[1]*at.Y + gx[2]*at.G
		s.restY -= gy[0]*at.X + gy[1]*at.Y + gy[2]*at.G
	}
	s.covers = true
	return true
}

// most is a bound of the vector's length that takes no search: its floats' covers in directions all
// round, the corners between which stick out a little.
func (s *shadow) most() float64 {
	if !s.cover() {
		return math.Inf(1)
	}
	most := math.Inf(-1)
	sin, cos := 0.0, 1.0
	stepSin, stepCos := math.Sincos(2 * math.Pi / coarse)
	for range coarse {
		h := sin*s.restX + cos*s.restY
		for l := range s.lobes {
			b := &s.lobes[l]
			h += b.Least(floatset.Turned(&b.x, &b.y, sin, cos))
		}
		most = math.Max(most, h)
		sin, cos = sin*stepCos+cos*stepSin, cos*stepCos-sin*stepSin
	}
	return most / math.Cos(math.Pi/coarse)
}

// within reports whether covers alone show that the vector is nowhere longer than limit, the
// farthest point known being a top; and a bound of its length then.
func (s *shadow) within(limit, share float64) (bound float64, ok bool) {
	if !s.cover() {
		return 0, false
	}
	sin, cos := math.Sincos(s.far.angle)
	for l, j := range s.o.loose {
		b := &s.lobes[l]
		b.top, b.aside = floatset.Turned(&b.x, &b.y, sin, cos), floatset.Turned(&b.x, &b.y, cos, -sin)
		if b.One > 0 { // the vector feels the float
			b.mu = j.set.Multiplier(s.top[l], b.top)
			b.turns = b.Follows(b.top, b.aside, b.mu)
		}
	}
	ahead, beside := sin*s.restX+cos*s.restY, cos*s.restX-sin*s.restY
	first := s.covered(ahead, beside, 1, 0)
	right, left := first, first
	lastSin, lastCos := 0.0, 1.0
	bound = first
	for t := firstStep * math.Sqrt(share); ; t *= widening {
		t = math.Min(t, math.Pi)
		sin, cos := math.Sincos(t)
		turnSin, turnCos := sin*lastCos-cos*lastSin, cos*lastCos+sin*lastSin
		r, l := s.covered(ahead, beside, cos, sin), s.covered(ahead, beside, cos, -sin)
		bound = math.Max(bound, math.Max(corner(right, r, turnSin, turnCos), corner(left, l, turnSin, turnCos)))
		if !(bound <= limit) {
			return bound, false
		}
		if t == math.Pi {
			return bound, true
		}
		right, left, lastSin, lastCos = r, l, sin, cos
	}
}

// covered is the least bound known of how far the shadow reaches at an angle from the top.
func (s *shadow) covered(ahead, beside, cos, sin float64) float64 {
	h := cos*ahead + sin*beside
	for l := range s.lobes {
		b := &s.lobes[l]
		t := floatset.Turned(&b.top, &b.aside, cos, sin)
		h += math.Min(b.With(t, cos*b.mu+sin*b.turns), b.Least(t))
	}
	return h
}

// corner is how far a shadow can reach between two directions in which it reaches a and b, less
// than half a turn apart.
func corner(a, b, sin, cos float64) float64 {
	along := (b - a*cos) / sin
	if along <= 0 || a <= b*cos {
		return math.Max(a, b)
	}
	return dense.Length(a, along)
}
