package floatset

import (
	"math"

	"example.com/borestack/align/internal/dense"
)

// Of the search for the one unknown.
const (
	Halvings = 80    // of a bracket, at most
	noArm    = 1e-9  // share of the characteristic length below which two sets have one arm
	settled  = 1e-13 // mm: how well the two sets' points must fit each other
)

// farthestOfTwo is the point farthest along a in (fx, fy, γ) within two of the sets.
//
// Derivation: with d_i = p_i + f + γq_i in set i, q = q₂ − q₁ and n square to it, γ = q·(d₂ − d₁ −
// p)/q² and n·(d₂ − d₁ − p) = 0, p = p₂ − p₁. The one multiplier μ of that equation makes each d_i
// the farthest point of its own set along a direction that is linear in μ; n·(d₂ − d₁) falls as μ
// grows.
func (s *Set) farthestOfTwo(first, second int, a Vec) (Vec, bool) {
	one, two := &s.sets[first], &s.sets[second]
	switch {
	case two.Slab:
		return s.farthestBesideSlab(one, two, a)
	case one.Slab:
		return s.farthestBesideSlab(two, one, a)
	}
	t := &s.pair
	if first != 0 || second != 1 {
		other := pairOf(one, two)
		t = &other
	}
	if !(t.arm > noArm*s.CharLength) {
		return Vec{}, false
	}
	t.pull(a)
	d, ok := t.meet()
	if !ok {
		if d, ok = t.search(math.Abs(a.X) + math.Abs(a.Y) + math.Abs(t.beta)); !ok {
			return Vec{}, false
		}
	}
	g := (d.q2 - d.q1 - t.ahead) / t.arm
	return Vec{d.q1*t.qx - d.n1*t.qy - one.PX - g*one.QX, d.q1*t.qy + d.n1*t.qx - one.PY - g*one.QY, g}, true
}

// farthestBesideSlab is the same within a set and a slab, which no line along its own walls leaves:
// its multiplier c makes up for what turns.
//
// Derivation: with d = p₁ + f + γq₁ in the set and t = n·(p₂ + f + γq₂) in the slab, γ n·(q₂ − q₁)
// = t − n·(d + p₂ − p₁), so that a·v = (a − c n)·d + c t and a constant, c = (a_γ − a·q₁) / n·(q₂ −
// q₁).
func (s *Set) farthestBesideSlab(one, slab *shiftSet, a Vec) (Vec, bool) {
	arm := slab.NX*(slab.QX-one.QX) + slab.NY*(slab.QY-one.QY)
	if one.Slab || !(math.Abs(arm) > noArm*s.CharLength) {
		return Vec{}, false
	}
	c := (a.G - a.X*one.QX - a.Y*one.QY) / arm
	x, y := one.point(a.X-c*slab.NX, a.Y-c*slab.NY)
	var t float64
	switch {
	case c > 0:
		t = slab.Radius
	case c < 0:
		t = -slab.Radius
	}
	g := (t - slab.NX*(x+slab.PX-one.PX) - slab.NY*(y+slab.PY-one.PY)) / arm
	return Vec{x - one.PX - g*one.QX, y - one.PY - g*one.QY, g}, true
}

// twoSets are two sets with different arms, seen along q = (qx, qy), the direction from the first's
// arm to the second's, and n = (−qy, qx). Their farthest points lie along directions linear in the
// multiplier μ: (across, along + μ) of the first, (beta, −μ) of the second.
type twoSets struct {
	one, two            *shiftSet
	qx, qy, arm         float64 // arm: how far apart the arms' ends are
	ahead, off          float64 // q·p and n·p
	along, across, beta float64 // of a pull
}

// pairOf sees two sets together.
func pairOf(one, two *shiftSet) twoSets {
	t := twoSets{one: one, two: two, qx: two.QX - one.QX, qy: two.QY - one.QY}
	t.arm = dense.Length(t.qx, t.qy)
	if t.arm > 0 {
		t.qx, t.qy = t.qx/t.arm, t.qy/t.arm
	}
	px, py := two.PX-one.PX, two.PY-one.PY
	t.ahead, t.off = t.qx*px+t.qy*py, t.qx*py-t.qy*px
	return t
}

// pull sets the direction a in (fx, fy, γ).
func (t *twoSets) pull(a Vec) {
	t.beta = (a.G - a.X*t.one.QX - a.Y*t.one.QY) / t.arm
	t.along, t.across = a.Y*t.qx-a.X*t.qy, a.X*t.qx+a.Y*t.qy-t.beta
}

// meeting are the two points along q and n for some μ, and how far they miss each other along n.
type meeting struct{ q1, n1, q2, n2, miss float64 }

// at are the points for μ/one, and how fast they fall towards each other as μ grows, one being 1.
func (t *twoSets) at(one, mu float64) (d meeting, falls float64) {
	var f1, f2 float64
	d.q1, d.n1, f1 = t.one.seen(t, t.across*one, t.along*one+mu)
	d.q2, d.n2, f2 = t.two.seen(t, t.beta*one, -mu)
	d.miss = d.n2 - d.n1 - t.off
	return d, f1 + f2
}

// seen is the farthest point along (q, n) as t sees it, and how fast it moves along n as n grows:
// not at all in a lens's corner.
func (d *shiftSet) seen(t *twoSets, q, n float64) (alongQ, alongN, moves float64) {
	if d.lens {
		x, y := d.point(q*t.qx-n*t.qy, q*t.qy+n*t.qx)
		return x*t.qx + y*t.qy, y*t.qx - x*t.qy, d.bend(q*t.qx-n*t.qy, q*t.qy+n*t.qx, q)
	}
	size := math.Sqrt(q*q + n*n)
	if size == 0 {
		return 0, 0, 0
	}
	q, n = q/size, n/size
	return d.Radius * q, d.Radius * n, d.Radius * q * q / size
}

// unfelt is the share of the directions' size below which one of a set's coordinates is pulled by
// rounding alone: less than any sum of the directions is good to.
const unfelt = 1e-15

// meetSteps is how many of Newton's steps are tried before the bracket: they double the digits
// each, or fail.
const meetSteps = 7

// meet solves for μ by Newton's method in the sine of the angle between q and the direction of one
// of the sets, which takes the bend out of that set's curve: of the second, and where that has no
// more to give, of the first. It reports false where it does not settle.
func (t *twoSets) meet() (d meeting, ok bool) {
	q1, n1, _ := t.one.seen(t, t.across, t.along)
	s := -(n1 + t.off) / t.two.Radius
	least := unfelt * (math.Abs(t.along) + math.Abs(t.across) + math.Abs(t.beta))
	if math.Abs(t.beta) <= least && math.Abs(s) < 1 && !t.two.lens { // nothing pulls the second: it goes where the first takes it
		return meeting{q1: q1, n1: n1, n2: t.off + n1}, true
	}
	if math.Abs(t.across) <= least && !t.one.lens { // nor the first along q: it goes where the second takes it
		q2, n2, _ := t.two.seen(t, t.beta, t.along)
		if n1 := n2 - t.off; math.Abs(n1) < t.one.Radius {
			return meeting{n1: n1, q2: q2, n2: n2}, true
		}
	}
	size, base := math.Abs(t.beta), 0.0
	if !(math.Abs(s) < 1) {
		s = -(t.off + math.Copysign(t.two.Radius, s)) / t.one.Radius
		size, base = math.Abs(t.across), t.along
	}
	if size == 0 {
		return d, false
	}
	for range meetSteps {
		root := math.Sqrt((1 - s) * (1 + s))
		var falls float64
		if d, falls = t.at(1, size*s/root-base); math.Abs(d.miss) <= settled {
			return d, true
		}
		s += d.miss * root * root * root / (size * falls) // μ grows by size/root³
		if !(math.Abs(s) < 1) {
			break
		}
	}
	return d, false
}

// bend is how fast the farthest point moves along n as its direction (ux, uy) does, across being
// the part of the direction square to n: not at all in a lens's corner.
func (d *shiftSet) bend(ux, uy, across float64) float64 {
	u := ux*ux + uy*uy
	size := math.Sqrt(u)
	if d.lens && math.Abs(d.Radius*(ux*d.lx+uy*d.ly)) < size*(d.lx*d.lx+d.ly*d.ly)/2 {
		return 0
	}
	return d.Radius * across * across / (u * size)
}

// search solves for μ by halving: the angle of (scale, μ), scale being a size of μ, so that its
// bracket is known.
func (t *twoSets) search(scale float64) (meeting, bool) {
	lo, hi := -math.Pi/2, math.Pi/2
	below, _ := t.at(0, -1)
	above, _ := t.at(0, 1)
	if !(below.miss >= 0 && above.miss <= 0) {
		return meeting{}, false
	}
	for range Halvings {
		mid := lo + (hi-lo)/2
		if below.miss <= settled || -above.miss <= settled || !(mid > lo && mid < hi) {
			break
		}
		sin, cos := math.Sincos(mid)
		if d, _ := t.at(cos, scale*sin); d.miss >= 0 {
			lo, below = mid, d
		} else {
			hi, above = mid, d
		}
	}
	if -above.miss <= settled { // that end fits
		below = above
	}
	// Both ends are farthest for nearly the same μ; between them the equation holds.
	if below.miss > settled {
		share := below.miss / (below.miss - above.miss)
		below.q1 += share * (above.q1 - below.q1)
		below.n1 += share * (above.n1 - below.n1)
		below.q2 += share * (above.q2 - below.q2)
	}
	return below, true
}
