package floatset

import (
	"math"

	"example.com/borestack/align/internal/conic"
	"example.com/borestack/align/internal/dense"
	"example.com/borestack/fault"
)

// Inside reports whether v is in F.
func (s *Set) Inside(v Vec) bool {
	for _, i := range s.Open {
		if f := &s.Constraints[i]; !f.holds(v, 0) {
			return false
		}
	}
	return true
}

// Nearest is the point of F nearest the target in |f - f0|² + L²(γ - γ0)²: where the joint rests.
func (s *Set) Nearest() (Vec, error) {
	if !s.rested {
		v, err := s.findNearest()
		if err != nil {
			return v, err
		}
		s.nearestAt, s.rested = v, true
	}
	return s.nearestAt, nil
}

func (s *Set) findNearest() (Vec, error) {
	if s.Dim == 3 && s.Inside(s.Target) {
		return s.Target, nil
	}
	var t [3]float64
	goal := s.Scaled(s.Target)
	for k := range s.Dim {
		for i := range 3 {
			t[k] += s.Span[k][i] * (goal[i] - s.Base[i])
		}
	}
	if v := s.AtSpan(t[:]); s.Dim == 0 || s.Inside(v) {
		return v, nil
	}
	if s.Dim == 1 {
		lo, hi := s.interval(s.Scaled(s.AtSpan([]float64{0, 0, 0})), s.Span[0])
		return s.AtSpan([]float64{math.Max(lo, math.Min(hi, t[0])), 0, 0}), nil
	}
	if s.project(&t) {
		return s.AtSpan(t[:]), nil
	}
	p, unit := s.spanProgram()
	q := p.Quadratic()
	for k := range s.Dim {
		q[k*s.Dim+k] = 1
		p.Cost()[k] = -t[k] / unit
	}
	res, err := s.solver.Solve(p, FoulTol)
	if err != nil {
		return Vec{}, fault.Unsolved("how a joint floats", "/joints", err)
	}
	goal3 := t
	for k := range s.Dim { // floats.ScaleTo would send t to the heap
		t[k] = unit * res.X[k]
	}
	s.settle(&t, &goal3, unit)
	return s.AtSpan(t[:]), nil
}

// noPull is the share of a direction, along what is free, below which it pulls by rounding alone.
const noPull = 1e-12

// Farthest is the point of F farthest along pull, a direction in (fx, fy, γ). Without any pull it
// is where the joint rests.
func (s *Set) Farthest(pull Vec) (Vec, error) {
	if s.Dim == 3 && pull != (Vec{}) {
		if v, ok := s.farthestOfSets(pull); ok {
			return v, nil
		}
	}
	g := [3]float64{pull.X, pull.Y, pull.G / s.CharLength}
	var c [3]float64
	var size float64
	for k := range s.Dim {
		c[k] = s.Span[k][0]*g[0] + s.Span[k][1]*g[1] + s.Span[k][2]*g[2]
		size = dense.Length(size, c[k])
	}
	whole := math.Sqrt(g[0]*g[0] + g[1]*g[1] + g[2]*g[2])
	if s.Dim == 0 || !(size > noPull*whole) || whole == 0 {
		return s.Nearest()
	}
	if s.Dim == 1 {
		lo, hi := s.interval(s.Base, s.Span[0])
		if c[0] < 0 {
			hi = lo
		}
		return s.AtSpan([]float64{hi, 0, 0}), nil
	}
	if v, ok := s.farthestInLens(c[0]/size, c[1]/size); ok {
		return v, nil
	}
	p, unit := s.spanProgram()
	for k := range s.Dim {
		p.Cost()[k] = -c[k] / size
	}
	res, err := s.solver.Solve(p, FoulTol)
	if err != nil {
		return Vec{}, fault.Unsolved("how a joint floats", "/joints", err)
	}
	var t [3]float64
	for k := range s.Dim {
		t[k] = unit * res.X[k]
	}
	return s.AtSpan(t[:]), nil
}

// farthestInLens is the closed form when only a pilot bounds the shift and the clock is set: a
// disc, or the lens of two equal discs.
func (s *Set) farthestInLens(cx, cy float64) (Vec, bool) {
	if s.Turns || s.Dim != 2 || len(s.Open) > 2 || len(s.Open) != len(s.Constraints) {
		return Vec{}, false
	}
	first, last := &s.Constraints[s.Open[0]], &s.Constraints[s.Open[len(s.Open)-1]]
	if first.Slab || last.Slab || first.Radius != last.Radius {
		return Vec{}, false
	}
	d := shiftSet{room: first.Radius, lens: true, lx: last.PX - first.PX, ly: last.PY - first.PY}
	x, y := d.point(s.Span[0][0]*cx+s.Span[1][0]*cy, s.Span[0][1]*cx+s.Span[1][1]*cy)
	return Vec{x - first.PX, y - first.PY, s.Target.G}, true
}

// spanProgram is a program over t, in the returned unit of length, with the open constraints as
// cones.
func (s *Set) spanProgram() (p *conic.Problem, unit float64) {
	unit = s.WidestRadius()
	p = &s.problem
	p.Reset(s.Dim)
	s.SpanCones(p, 0, unit)
	return p, unit
}

// SpanCones appends the open constraints to p, t/unit being its variables from column col on.
func (s *Set) SpanCones(p *conic.Problem, col int, unit float64) {
	for _, i := range s.Open {
		s.cone(p, i, col, unit)
	}
}

// cone appends constraint i in the same way, and returns the row of its room.
func (s *Set) cone(p *conic.Problem, i, col int, unit float64) (room []float64) {
	f := &s.Constraints[i]
	qx, qy := f.QX/s.CharLength, f.QY/s.CharLength
	x, y := (f.PX+s.Base[0]+s.Base[2]*qx)/unit, (f.PY+s.Base[1]+s.Base[2]*qy)/unit
	m := 2
	if f.Slab {
		m = 1
		x = f.NX*x + f.NY*y
	}
	c := p.Cone(m)
	room, rx := c.Row(0), c.Row(1)
	last := len(room) - 1
	room[last], rx[last] = f.Radius/unit, x
	ry := rx
	if !f.Slab {
		ry = c.Row(2)
		ry[last] = y
	}
	for k := range s.Dim {
		ax, ay := s.Span[k][0]+qx*s.Span[k][2], s.Span[k][1]+qy*s.Span[k][2]
		if f.Slab {
			rx[col+k] = f.NX*ax + f.NY*ay
		} else {
			rx[col+k], ry[col+k] = ax, ay
		}
	}
	return room
}

// still is the share of a direction, beside its length, that a constraint feels by rounding alone:
// it does not move there.
const still = 1e-14

// interval is the range of t in which from + t·along (scaled) stays within the open constraints. A
// start on the rim of a constraint, or beyond it by no more than counts as rounding, is within it.
func (s *Set) interval(from, along [3]float64) (lo, hi float64) {
	lo, hi = math.Inf(-1), math.Inf(1)
	least := still * still * (along[0]*along[0] + along[1]*along[1] + along[2]*along[2])
	for _, i := range s.Open {
		f := &s.Constraints[i]
		qx, qy := f.QX/s.CharLength, f.QY/s.CharLength
		x, y := f.PX+from[0]+from[2]*qx, f.PY+from[1]+from[2]*qy
		ax, ay := along[0]+along[2]*qx, along[1]+along[2]*qy
		if f.Slab {
			x, y = f.NX*x+f.NY*y, 0
			ax, ay = f.NX*ax+f.NY*ay, 0
		}
		if a := ax*ax + ay*ay; a > least {
			l, h := chord(x, y, ax, ay, a, f.Radius)
			lo, hi = math.Max(lo, l), math.Min(hi, h)
		}
	}
	if lo > hi {
		lo = (lo + hi) / 2
		hi = lo
	}
	return lo, hi
}

// chord is the range of t in which |(x, y) + t (ax, ay)| ≤ room, a being ax² + ay²; the point
// nearest the middle where there is none.
//
// The roots of a t² + 2 b t + c, each by the form in which nothing cancels, so that a start on the
// rim is one of them.
func chord(x, y, ax, ay, a, room float64) (lo, hi float64) {
	b, d := x*ax+y*ay, dense.Length(x, y)
	c := (d - room) * (d + room)
	if c > 0 && d-room <= FoulTol {
		c = 0
	}
	under := b*b - a*c
	if !(under > 0) {
		return -b / a, -b / a
	}
	q := math.Sqrt(under) + math.Abs(b)
	near, far := -c/q, -q/a // of a start that moves outward
	if b < 0 {
		near, far = -near, -far
	}
	return math.Min(near, far), math.Max(near, far)
}

// Hang is the point of F whose registration point lies lowest, down being the direction of falling
// in (fx, fy); the turn rests.
func (s *Set) Hang(downX, downY float64) (Vec, error) {
	v, err := s.Farthest(Vec{X: downX, Y: downY})
	if err != nil || !s.Turns || s.Dim < 3 {
		return v, err
	}
	at := s.Scaled(v)
	want := s.Target.G*s.CharLength - at[2]
	lo, hi := s.interval(at, [3]float64{0, 0, 1})
	at[2] += math.Max(lo, math.Min(hi, want))
	return s.Vec(at), nil
}

// TurnRange is the least and greatest γ over F.
func (s *Set) TurnRange() (lo, hi float64, err error) {
	a, err := s.Farthest(Vec{G: -1})
	if err != nil {
		return 0, 0, err
	}
	b, err := s.Farthest(Vec{G: 1})
	return a.G, b.G, err
}

// Widths are the widths of F: how far apart two of its shifts are at most, and two of its turns.
func (s *Set) Widths() (shift, turn float64, err error) {
	for _, g := range [2]Vec{{X: 1}, {Y: 1}} {
		a, err := s.Farthest(g)
		if err != nil {
			return 0, 0, err
		}
		b, err := s.Farthest(Vec{X: -g.X, Y: -g.Y})
		if err != nil {
			return 0, 0, err
		}
		shift = dense.Length(shift, g.X*(a.X-b.X)+g.Y*(a.Y-b.Y))
	}
	if s.Turns {
		lo, hi, err := s.TurnRange()
		return shift, hi - lo, err
	}
	return shift, 0, nil
}
