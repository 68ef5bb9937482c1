package floatset

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/fault"
)

// Prepare lays out F. It is called once a build.
func (s *Set) Prepare() error {
	s.looked, s.rested = false, false
	return s.layOut()
}

// layOut decides whether the joint assembles, and how much of F is free.
func (s *Set) layOut() error {
	s.Lack, s.Fouls, s.Open = 0, s.Fouls[:0], s.Open[:0]
	s.Base = s.Scaled(s.Target)
	s.heldRows()
	if s.Roomy(s.Target, s.Thin(), -1) {
		s.openAll()
		s.spanRows()
		return nil
	}
	if s.press() {
		return nil
	}
	return s.squeeze()
}

// press lays out F without a program where constraints without room hold like locks and leave the
// others room: the point nearest the target that they allow. It reports false where they disagree,
// or the point is not well within the rest.
func (s *Set) press() bool {
	given, thin := len(s.rows), s.Thin()
	for i := range s.Constraints {
		f := &s.Constraints[i]
		if f.Radius > thin {
			s.Open = append(s.Open, i)
			continue
		}
		x, y := f.PX+s.Target.X+s.Target.G*f.QX, f.PY+s.Target.Y+s.Target.G*f.QY
		s.hold(*f, -x, -y)
	}
	if len(s.rows) > given && s.spanRows() {
		at := s.Vec(s.Base)
		if !slices.ContainsFunc(s.Open, func(i int) bool { return !s.Constraints[i].holds(at, -thin) }) {
			return true
		}
	}
	s.rows, s.ends, s.Open = s.rows[:given], s.ends[:given], s.Open[:0]
	s.Base = s.Scaled(s.Target)
	return false
}

// hold adds the rows of a constraint that lets nothing pass: it must move (x, y) from where base
// is.
func (s *Set) hold(f Constraint, x, y float64) {
	f.PX, f.PY = x, y
	f.ways(s.CharLength, s.row)
}

// row adds a row, and how far base must move along it.
func (s *Set) row(r [3]float64, end float64) {
	s.rows, s.ends = append(s.rows, r), append(s.ends, end)
}

// openAll lists every constraint as open.
func (s *Set) openAll() {
	s.Open = s.Open[:0]
	for i := range s.Constraints {
		s.Open = append(s.Open, i)
	}
}

// squeeze finds the least ε that every radius lacks, when the target itself is not well inside.
func (s *Set) squeeze() error {
	eps, err := s.least(s.Fixed)
	if err != nil {
		return err
	}
	if s.Fixed && eps > FoulTol { // the register's shift joins the relaxation
		s.Constraints = append(s.Constraints, Constraint{PX: -s.Target.X, PY: -s.Target.Y, Mark: OfShift})
		s.Fixed = false
		s.heldRows()
		if eps, err = s.least(false); err != nil {
			return err
		}
	}
	pull, thin := floats.Sum(s.multipliers), s.Thin()
	if eps > FoulTol {
		s.Lack = eps
	}
	for i := range s.Constraints {
		f := &s.Constraints[i]
		takesPart := s.multipliers[i] > leastShare*pull && pull > 0
		if s.Lack > 0 && takesPart {
			s.Fouls = append(s.Fouls, i)
		}
		f.Radius += math.Max(eps, 0)
		if -eps >= thin+s.doubt || (!takesPart && f.Radius > thin) {
			s.Open = append(s.Open, i)
			continue
		}
		s.hold(*f, 0, 0)
	}
	s.spanRows()
	return nil
}

// least minimises ε over |r_k| ≤ room_k + ε, sets base to where it is attained and pulls to the
// sizes of the constraints' multipliers.
func (s *Set) least(fixed bool) (eps float64, err error) {
	s.multipliers, s.doubt = dense.Resize(s.multipliers, len(s.Constraints)), 0
	switch {
	case fixed && len(s.Constraints) == 1: // the target turns as near to its middle as it can
		s.Base, s.multipliers[0] = s.Scaled(s.Target), 1
		f := &s.Constraints[0]
		return f.at(s.Target) - f.Radius, nil
	case !fixed && len(s.Constraints) == 2 && !s.Constraints[0].Slab && !s.Constraints[1].Slab:
		return s.leastOfTwo(), nil
	}
	return s.leastByCones(fixed)
}

// leastOfTwo is the least ε of two discs, turned to where their middles are nearest: half of what
// the gap between these exceeds both rooms by, or the smaller room to spare when that disc can lie
// within the other.
func (s *Set) leastOfTwo() float64 {
	f, o := &s.Constraints[0], &s.Constraints[1]
	dx, dy, ax, ay := o.PX-f.PX, o.PY-f.PY, o.QX-f.QX, o.QY-f.QY
	g := s.Target.G
	if a := ax*ax + ay*ay; s.Turns && a > 0 {
		g = -(dx*ax + dy*ay) / a
	}
	dx, dy = dx+g*ax, dy+g*ay
	d := dense.Length(dx, dy)
	eps := (d - f.Radius - o.Radius) / 2
	var x, y float64 // from the middle of f
	switch small := math.Min(f.Radius, o.Radius); {
	case eps > -small:
		x, y = -(f.Radius+eps)*dx/d, -(f.Radius+eps)*dy/d
		s.multipliers[0], s.multipliers[1] = 0.5, 0.5
	case small == f.Radius:
		eps = -small
		s.multipliers[0], s.multipliers[1] = 1, 0
	default:
		eps = -small
		x, y = -dx, -dy
		s.multipliers[0], s.multipliers[1] = 0, 1
	}
	s.Base = s.Scaled(Vec{x - f.PX - g*f.QX, y - f.PY - g*f.QY, g})
	return eps
}

// leastUnit, in mm, is the unit of the program for ε at the least: the size of a play that is felt.
const leastUnit = 1e-3

// leastByCones finds the least ε by a cone program.
func (s *Set) leastByCones(fixed bool) (eps float64, err error) {
	unit := leastUnit
	for i := range s.Constraints {
		unit = math.Max(unit, math.Max(s.Constraints[i].Radius, s.Constraints[i].at(s.Target)))
	}
	p := &s.problem
	p.Reset(4)
	p.Cost()[3] = 1
	at := s.Scaled(s.Target)
	s.Base, s.Span, s.Dim = at, whole, 3
	for i := range s.Constraints {
		s.cone(p, i, 0, unit)[3] = 1
	}
	if fixed {
		p.Equal()[0] = 1
		p.Equal()[1] = 1
	}
	if !s.Turns {
		p.Equal()[2] = 1
	}
	res, err := s.solver.Solve(p, FoulTol)
	if err != nil {
		return 0, fault.Unsolved("how a joint floats", "/joints", err)
	}
	for k := range 3 {
		s.Base[k] = at[k] + unit*res.X[k]
	}
	for i := range s.multipliers {
		s.multipliers[i] = floats.Norm(s.solver.Dual(i)[1:], 2)
	}
	s.doubt = unit * res.Gap
	return unit * res.X[3], nil
}

// whole is the span of all shifts and turns.
var whole = [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}

// heldRows starts the rows with what does not depend on constraints.
func (s *Set) heldRows() {
	s.rows, s.ends = s.rows[:0], s.ends[:0]
	if !s.Turns {
		s.row([3]float64{0, 0, 1}, 0)
	}
	if s.Fixed {
		s.row([3]float64{1, 0, 0}, 0)
		s.row([3]float64{0, 1, 0}, 0)
	}
}

// spanRows moves base as the rows say and makes span an orthonormal basis of what they leave free.
// It reports whether they agree.
func (s *Set) spanRows() bool {
	if len(s.rows) == 0 || (len(s.rows) == 1 && !s.Turns) { // all free, or all but the turn
		s.Span = whole
		s.Dim = 3 - len(s.rows)
		return true
	}
	if s.Fixed && s.Turns && len(s.rows) == 2 { // all but the shift
		s.Span[0], s.Dim = [3]float64{0, 0, 1}, 1
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
			s.Base[i] += far[k] * q[k][i]
		}
	}
	for k := range 3 {
		var e [3]float64
		e[k] = 1
		orth(e, 0)
	}
	s.Dim = n - held
	for k := range s.Dim {
		s.Span[k] = q[held+k]
	}
	return agreed
}
