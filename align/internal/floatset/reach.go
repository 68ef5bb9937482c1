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
	t := s.inSpan(s.Scaled(s.Target))
	if v := s.AtSpan(t); s.Dim == 0 || s.Inside(v) {
		return v, nil
	}
	if s.Dim == 1 {
		lo, hi := s.interval(s.Base, s.Span[0])
		return s.AtSpan([3]float64{math.Max(lo, math.Min(hi, t[0]))}), nil
	}
	w := aim{t: t}
	if at, ok := s.best(&w, t, nil); ok {
		return s.AtSpan(at), nil
	}
	return s.byCones(&w)
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
	w := aim{far: true}
	var size float64
	for k := range s.Dim {
		w.t[k] = s.Span[k][0]*g[0] + s.Span[k][1]*g[1] + s.Span[k][2]*g[2]
		size = dense.Length(size, w.t[k])
	}
	whole := dense.Length3(g[0], g[1], g[2])
	if !(size > noPull*whole) {
		return s.Nearest()
	}
	if s.Dim == 1 {
		lo, hi := s.interval(s.Base, s.Span[0])
		if w.t[0] < 0 {
			hi = lo
		}
		return s.AtSpan([3]float64{hi}), nil
	}
	if s.Dim == 2 {
		if v, ok := s.farthestOfSets(pull); ok {
			return v, nil
		}
	}
	for k := range w.t {
		w.t[k] /= size
	}
	return s.byCones(&w)
}

// byCones is the best point of F by a cone program.
func (s *Set) byCones(w *aim) (Vec, error) {
	unit := s.WidestRadius()
	p := &s.problem
	p.Reset(s.Dim)
	s.SpanCones(p, 0, unit)
	for k := range s.Dim {
		p.Cost()[k] = -w.t[k]
		if !w.far {
			p.Quadratic()[k*s.Dim+k] = 1
			p.Cost()[k] = -w.t[k] / unit
		}
	}
	res, err := s.solver.Solve(p, FoulTol)
	if err != nil {
		return Vec{}, fault.Unsolved("how a joint floats", "/joints", err)
	}
	var t [3]float64
	for k := range s.Dim {
		t[k] = unit * res.X[k]
	}
	return s.AtSpan(t), nil
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
	rows := 2
	if f.Slab {
		rows = 1
	}
	c := p.Cone(rows)
	room = c.Row(0)
	last := len(room) - 1
	room[last] = f.Radius / unit
	put := func(col int, x, y float64) {
		c.Row(1)[col] = x
		if !f.Slab {
			c.Row(2)[col] = y
		}
	}
	x, y := s.feels(f, 1, s.Base)
	put(last, x/unit, y/unit)
	for k := range s.Dim {
		x, y = s.feels(f, 0, s.Span[k])
		put(col+k, x, y)
	}
	return room
}

// feels is what a constraint feels of v in (fx, fy, L·γ): of a point, p being 1, from its middle, and
// of a way to move, p being 0.
func (s *Set) feels(f *Constraint, p float64, v [3]float64) (x, y float64) {
	return f.felt(p*f.PX+v[0]+v[2]*(f.QX/s.CharLength), p*f.PY+v[1]+v[2]*(f.QY/s.CharLength))
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
		x, y := s.feels(f, 1, from)
		ax, ay := s.feels(f, 0, along)
		if ax*ax+ay*ay > least {
			l, h := chord(x, y, ax, ay, f.Radius)
			lo, hi = math.Max(lo, l), math.Min(hi, h)
		}
	}
	if lo > hi {
		lo = (lo + hi) / 2
		hi = lo
	}
	return lo, hi
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
