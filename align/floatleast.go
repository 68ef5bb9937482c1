package align

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"example.com/borestack/align/internal/conic"
	"example.com/borestack/fault"
)

// prepare lays out F. It is called once a build.
func (s *floatSet) prepare() error {
	s.looked, s.rested = false, false
	return s.layOut()
}

// layOut decides whether the joint assembles, and how much of F is free.
func (s *floatSet) layOut() error {
	s.lack, s.fouls, s.open = 0, s.fouls[:0], s.open[:0]
	s.base = s.scaled(s.target)
	s.heldRows()
	if s.roomy(s.target, s.thin(), -1) {
		s.openAll()
		s.spanRows()
		return nil
	}
	if s.press() {
		return nil
	}
	return s.squeeze()
}

// press lays out F without a program where fences without room hold like press fits and leave the others room: the point nearest the target that they allow. It reports false where they disagree, or the point is not well within the rest.
func (s *floatSet) press() bool {
	given, thin := len(s.rows), s.thin()
	for i := range s.fences {
		f := &s.fences[i]
		if f.room > thin {
			s.open = append(s.open, i)
			continue
		}
		x, y := f.px+s.target.x+s.target.g*f.qx, f.py+s.target.y+s.target.g*f.qy
		s.hold(f, -x, -y)
	}
	if len(s.rows) > given && s.spanRows() {
		at := s.plain(s.base)
		if !slices.ContainsFunc(s.open, func(i int) bool { return !s.fences[i].holds(at, -thin) }) {
			return true
		}
	}
	s.rows, s.ends, s.open = s.rows[:given], s.ends[:given], s.open[:0]
	s.base = s.scaled(s.target)
	return false
}

// hold adds the rows of a fence that lets nothing pass: it must move (x, y) from where base is.
func (s *floatSet) hold(f *fence, x, y float64) {
	qx, qy := f.qx/s.lever, f.qy/s.lever
	if f.slab {
		s.row([3]float64{f.nx, f.ny, f.nx*qx + f.ny*qy}, f.nx*x+f.ny*y)
		return
	}
	s.row([3]float64{1, 0, qx}, x)
	s.row([3]float64{0, 1, qy}, y)
}

// row adds a row, and how far base must move along it.
func (s *floatSet) row(r [3]float64, end float64) {
	s.rows, s.ends = append(s.rows, r), append(s.ends, end)
}

// openAll lists every fence as open.
func (s *floatSet) openAll() {
	s.open = s.open[:0]
	for i := range s.fences {
		s.open = append(s.open, i)
	}
}

// squeeze finds the least ε that every radius lacks, when the target itself is not well inside.
func (s *floatSet) squeeze() error {
	eps, err := s.least(s.fixed)
	if err != nil {
		return err
	}
	if s.fixed && eps > foulTol { // the register's shift joins the relaxation
		s.fences = append(s.fences, fence{px: -s.target.x, py: -s.target.y, pin: pilotFence})
		s.fixed = false
		s.heldRows()
		if eps, err = s.least(false); err != nil {
			return err
		}
	}
	pull, thin := floats.Sum(s.pulls), s.thin()
	if eps > foulTol {
		s.lack = eps
	}
	for i := range s.fences {
		f := &s.fences[i]
		takesPart := s.pulls[i] > pullTol*pull && pull > 0
		if s.lack > 0 && takesPart {
			s.fouls = append(s.fouls, i)
		}
		f.room += math.Max(eps, 0)
		if -eps >= thin+s.doubt || (!takesPart && f.room > thin) {
			s.open = append(s.open, i)
			continue
		}
		s.hold(f, 0, 0)
	}
	s.spanRows()
	return nil
}

// least minimises ε over |r_k| ≤ room_k + ε, sets base to where it is attained and pulls to the sizes of the fences' multipliers.
func (s *floatSet) least(fixed bool) (eps float64, err error) {
	s.pulls, s.doubt = resize(s.pulls, len(s.fences)), 0
	switch {
	case fixed && len(s.fences) == 1: // the target turns as near to its middle as it can
		s.base, s.pulls[0] = s.scaled(s.target), 1
		f := &s.fences[0]
		return f.at(s.target) - f.room, nil
	case !fixed && len(s.fences) == 2 && !s.fences[0].slab && !s.fences[1].slab:
		return s.leastOfTwo(), nil
	}
	return s.leastByCones(fixed)
}

// leastOfTwo is the least ε of two discs, turned to where their middles are nearest: half of what the gap between these exceeds both rooms by, or the smaller room to spare when that disc can lie within the other.
func (s *floatSet) leastOfTwo() float64 {
	f, o := &s.fences[0], &s.fences[1]
	dx, dy, ax, ay := o.px-f.px, o.py-f.py, o.qx-f.qx, o.qy-f.qy
	g := s.target.g
	if a := ax*ax + ay*ay; s.turns && a > 0 {
		g = -(dx*ax + dy*ay) / a
	}
	dx, dy = dx+g*ax, dy+g*ay
	d := size2(dx, dy)
	eps := (d - f.room - o.room) / 2
	var x, y float64 // from the middle of f
	switch small := math.Min(f.room, o.room); {
	case eps > -small:
		x, y = -(f.room+eps)*dx/d, -(f.room+eps)*dy/d
		s.pulls[0], s.pulls[1] = 0.5, 0.5
	case small == f.room:
		eps = -small
		s.pulls[0], s.pulls[1] = 1, 0
	default:
		eps = -small
		x, y = -dx, -dy
		s.pulls[0], s.pulls[1] = 0, 1
	}
	s.base = s.scaled(float3{x - f.px - g*f.qx, y - f.py - g*f.qy, g})
	return eps
}

// leastByCones finds the least ε by a cone program.
func (s *floatSet) leastByCones(fixed bool) (eps float64, err error) {
	unit := 1e-3
	for i := range s.fences {
		unit = math.Max(unit, math.Max(s.fences[i].room, s.fences[i].at(s.target)))
	}
	p := &s.problem
	p.Reset(4)
	p.Cost()[3] = 1
	at := s.scaled(s.target)
	for i := range s.fences {
		s.fenceCone(p, i, at, unit)
	}
	if fixed {
		p.Equal()[0] = 1
		p.Equal()[1] = 1
	}
	if !s.turns {
		p.Equal()[2] = 1
	}
	res, err := s.solver.Solve(p, foulTol)
	if err != nil {
		return 0, fault.Unsolved("how a joint floats", "/joints", err)
	}
	for k := range 3 {
		s.base[k] = at[k] + unit*res.X[k]
	}
	for i := range s.pulls {
		s.pulls[i] = floats.Norm(s.solver.Dual(i)[1:], 2)
	}
	s.doubt = unit * res.Gap
	return unit * res.X[3], nil
}

// fenceCone appends fence i about the point at, in the given unit, with ε as the fourth variable.
func (s *floatSet) fenceCone(p *conic.Problem, i int, at [3]float64, unit float64) {
	f := &s.fences[i]
	qx, qy := f.qx/s.lever, f.qy/s.lever
	x, y := (f.px+at[0]+at[2]*qx)/unit, (f.py+at[1]+at[2]*qy)/unit
	if f.slab {
		c := p.Cone(1)
		r, n := c.Row(0), c.Row(1)
		r[3], r[4] = 1, f.room/unit
		n[0], n[1], n[2], n[4] = f.nx, f.ny, f.nx*qx+f.ny*qy, f.nx*x+f.ny*y
		return
	}
	c := p.Cone(2)
	r, rx, ry := c.Row(0), c.Row(1), c.Row(2)
	r[3], r[4] = 1, f.room/unit
	rx[0], rx[2], rx[4] = 1, qx, x
	ry[1], ry[2], ry[4] = 1, qy, y
}

// heldRows starts the rows with what does not depend on fences.
func (s *floatSet) heldRows() {
	s.rows, s.ends = s.rows[:0], s.ends[:0]
	if !s.turns {
		s.row([3]float64{0, 0, 1}, 0)
	}
	if s.fixed {
		s.row([3]float64{1, 0, 0}, 0)
		s.row([3]float64{0, 1, 0}, 0)
	}
}

// spanRows moves base as the rows say and makes span an orthonormal basis of what they leave free. It reports whether they agree.
func (s *floatSet) spanRows() bool {
	if len(s.rows) == 0 || (len(s.rows) == 1 && !s.turns) { // all free, or all but the turn
		s.span = [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
		s.dim = 3 - len(s.rows)
		return true
	}
	if s.fixed && s.turns && len(s.rows) == 2 { // all but the shift
		s.span[0], s.dim = [3]float64{0, 0, 1}, 1
		return true
	}
	const lost = 1e-9 // a row that keeps less than this of its length beside the others adds nothing
	var q [3][3]float64
	var far [3]float64
	n, agree := 0, true
	orth := func(v [3]float64, end float64) {
		size := math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2])
		if size == 0 {
			return
		}
		for range 2 {
			for k := range n {
				d := v[0]*q[k][0] + v[1]*q[k][1] + v[2]*q[k][2]
				end -= d * far[k]
				for i := range 3 {
					v[i] -= d * q[k][i]
				}
			}
		}
		left := math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2])
		if left <= lost*size || n == 3 {
			agree = agree && math.Abs(end) <= openTol
			return
		}
		for i := range 3 {
			q[n][i] = v[i] / left
		}
		far[n] = end / left
		n++
	}
	for i, r := range s.rows {
		orth(r, s.ends[i])
	}
	held, agreed := n, agree
	for k := range held {
		for i := range 3 {
			s.base[i] += far[k] * q[k][i]
		}
	}
	for k := range 3 {
		var e [3]float64
		e[k] = 1
		orth(e, 0)
	}
	s.dim = n - held
	for k := range s.dim {
		s.span[k] = q[held+k]
	}
	return agreed
}
