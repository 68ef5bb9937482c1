package align

import (
	"math"

	"example.com/borestack/align/internal/conic"
	"example.com/borestack/fault"
)

// inside reports whether v is in F.
func (s *floatSet) inside(v float3) bool {
	for _, i := range s.open {
		if f := &s.fences[i]; !f.holds(v, 0) {
			return false
		}
	}
	return true
}

// atSpan is base + span·t.
func (s *floatSet) atSpan(t []float64) float3 {
	v := s.base
	for k := range s.dim {
		for i := range 3 {
			v[i] += s.span[k][i] * t[k]
		}
	}
	return s.plain(v)
}

// nearest is the point of F nearest the target in |f - f0|² + lever²(γ - γ0)²: where the joint rests.
func (s *floatSet) nearest() (float3, error) {
	if !s.rested {
		v, err := s.findNearest()
		if err != nil {
			return v, err
		}
		s.nearestAt, s.rested = v, true
	}
	return s.nearestAt, nil
}

func (s *floatSet) findNearest() (float3, error) {
	if s.dim == 3 && s.inside(s.target) {
		return s.target, nil
	}
	var t [3]float64
	goal := s.scaled(s.target)
	for k := range s.dim {
		for i := range 3 {
			t[k] += s.span[k][i] * (goal[i] - s.base[i])
		}
	}
	if v := s.atSpan(t[:]); s.dim == 0 || s.inside(v) {
		return v, nil
	}
	if s.dim == 1 {
		lo, hi := s.interval(s.scaled(s.atSpan([]float64{0, 0, 0})), s.span[0])
		return s.atSpan([]float64{math.Max(lo, math.Min(hi, t[0])), 0, 0}), nil
	}
	p, unit := s.spanProgram()
	q := p.Quadratic()
	for k := range s.dim {
		q[k*s.dim+k] = 1
		p.Cost()[k] = -t[k] / unit
	}
	res, err := s.solver.Solve(p, foulTol)
	if err != nil {
		return float3{}, fault.Unsolved("how a joint floats", "/joints", err)
	}
	goal3 := t
	for k := range s.dim { // floats.ScaleTo would send t to the heap
		t[k] = unit * res.X[k]
	}
	s.settle(&t, &goal3, unit)
	return s.atSpan(t[:]), nil
}

// farthest is the point of F farthest along pull, a direction in (fx, fy, γ). Without any pull it is where the joint rests.
func (s *floatSet) farthest(pull float3) (float3, error) {
	g := [3]float64{pull.x, pull.y, pull.g / s.lever}
	var c [3]float64
	var size float64
	for k := range s.dim {
		c[k] = s.span[k][0]*g[0] + s.span[k][1]*g[1] + s.span[k][2]*g[2]
		size = size2(size, c[k])
	}
	whole := math.Sqrt(g[0]*g[0] + g[1]*g[1] + g[2]*g[2])
	if s.dim == 0 || !(size > 1e-12*whole) || whole == 0 {
		return s.nearest()
	}
	if s.dim == 1 {
		lo, hi := s.interval(s.base, s.span[0])
		if c[0] < 0 {
			hi = lo
		}
		return s.atSpan([]float64{hi, 0, 0}), nil
	}
	if v, ok := s.farthestInLens(c[0]/size, c[1]/size); ok {
		return v, nil
	}
	if v, ok := s.farthestOfSets(pull); ok {
		return v, nil
	}
	p, unit := s.spanProgram()
	for k := range s.dim {
		p.Cost()[k] = -c[k] / size
	}
	res, err := s.solver.Solve(p, foulTol)
	if err != nil {
		return float3{}, fault.Unsolved("how a joint floats", "/joints", err)
	}
	var t [3]float64
	for k := range s.dim {
		t[k] = unit * res.X[k]
	}
	return s.atSpan(t[:]), nil
}

// farthestInLens is the closed form when only a pilot bounds the shift and the clock is set: a disc, or the lens of two equal discs.
func (s *floatSet) farthestInLens(cx, cy float64) (float3, bool) {
	if s.turns || s.dim != 2 || len(s.open) > 2 || len(s.open) != len(s.fences) {
		return float3{}, false
	}
	first, last := &s.fences[s.open[0]], &s.fences[s.open[len(s.open)-1]]
	if first.slab || last.slab || first.room != last.room {
		return float3{}, false
	}
	d := shiftSet{room: first.room, lens: true, lx: last.px - first.px, ly: last.py - first.py}
	x, y := d.point(s.span[0][0]*cx+s.span[1][0]*cy, s.span[0][1]*cx+s.span[1][1]*cy)
	return float3{x - first.px, y - first.py, s.target.g}, true
}

// spanProgram is a program over t, in the returned unit of length, with the open fences as cones.
func (s *floatSet) spanProgram() (p *conic.Problem, unit float64) {
	unit = s.room()
	p = &s.problem
	p.Reset(s.dim)
	s.spanCones(p, 0, unit)
	return p, unit
}

// spanCones appends the open fences to p, t/unit being its variables from column col on.
func (s *floatSet) spanCones(p *conic.Problem, col int, unit float64) {
	for _, i := range s.open {
		f := &s.fences[i]
		qx, qy := f.qx/s.lever, f.qy/s.lever
		x, y := (f.px+s.base[0]+s.base[2]*qx)/unit, (f.py+s.base[1]+s.base[2]*qy)/unit
		m := 2
		if f.slab {
			m = 1
			x = f.nx*x + f.ny*y
		}
		c := p.Cone(m)
		right, rx := c.Row(0), c.Row(1)
		last := len(right) - 1
		right[last], rx[last] = f.room/unit, x
		ry := rx
		if !f.slab {
			ry = c.Row(2)
			ry[last] = y
		}
		for k := range s.dim {
			ax, ay := s.span[k][0]+qx*s.span[k][2], s.span[k][1]+qy*s.span[k][2]
			if f.slab {
				rx[col+k] = f.nx*ax + f.ny*ay
			} else {
				rx[col+k], ry[col+k] = ax, ay
			}
		}
	}
}

// still is the share of a direction, beside its length, that a fence feels by rounding alone: it does not move there.
const still = 1e-14

// interval is the range of t in which from + t·along (scaled) stays within the open fences. A start on the rim of a fence, or beyond it by no more than counts as rounding, is within it.
func (s *floatSet) interval(from, along [3]float64) (lo, hi float64) {
	lo, hi = math.Inf(-1), math.Inf(1)
	least := still * still * (along[0]*along[0] + along[1]*along[1] + along[2]*along[2])
	for _, i := range s.open {
		f := &s.fences[i]
		qx, qy := f.qx/s.lever, f.qy/s.lever
		x, y := f.px+from[0]+from[2]*qx, f.py+from[1]+from[2]*qy
		ax, ay := along[0]+along[2]*qx, along[1]+along[2]*qy
		if f.slab {
			x, y = f.nx*x+f.ny*y, 0
			ax, ay = f.nx*ax+f.ny*ay, 0
		}
		if a := ax*ax + ay*ay; a > least {
			l, h := chord(x, y, ax, ay, a, f.room)
			lo, hi = math.Max(lo, l), math.Min(hi, h)
		}
	}
	if lo > hi {
		lo = (lo + hi) / 2
		hi = lo
	}
	return lo, hi
}

// chord is the range of t in which |(x, y) + t (ax, ay)| ≤ room, a being ax² + ay²; the point nearest the middle where there is none.
//
// The roots of a t² + 2 b t + c, each by the form in which nothing cancels, so that a start on the rim is one of them.
func chord(x, y, ax, ay, a, room float64) (lo, hi float64) {
	b, d := x*ax+y*ay, size2(x, y)
	c := (d - room) * (d + room)
	if c > 0 && d-room <= foulTol {
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

// hang is the point of F whose registration point lies lowest, down being the direction of falling in (fx, fy); the turn rests.
func (s *floatSet) hang(downX, downY float64) (float3, error) {
	v, err := s.farthest(float3{x: downX, y: downY})
	if err != nil || !s.turns || s.dim < 3 {
		return v, err
	}
	at := s.scaled(v)
	want := s.target.g*s.lever - at[2]
	lo, hi := s.interval(at, [3]float64{0, 0, 1})
	at[2] += math.Max(lo, math.Min(hi, want))
	return s.plain(at), nil
}

// turnRange is the least and greatest γ over F.
func (s *floatSet) turnRange() (lo, hi float64, err error) {
	a, err := s.farthest(float3{g: -1})
	if err != nil {
		return 0, 0, err
	}
	b, err := s.farthest(float3{g: 1})
	return a.g, b.g, err
}
