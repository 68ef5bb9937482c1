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
		s.layRows()
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
	given, thin := s.held, s.Thin()
	for i := range s.Constraints {
		f := &s.Constraints[i]
		if f.Radius > thin {
			s.Open = append(s.Open, i)
			continue
		}
		x, y := f.PX+s.Target.X+s.Target.G*f.QX, f.PY+s.Target.Y+s.Target.G*f.QY
		s.hold(*f, -x, -y)
	}
	if len(s.Open) < len(s.Constraints) && s.layRows() {
		at := s.Vec(s.Base)
		if !slices.ContainsFunc(s.Open, func(i int) bool { return !s.Constraints[i].holds(at, -thin) }) {
			return true
		}
	}
	s.held, s.Open = given, s.Open[:0]
	s.Base = s.Scaled(s.Target)
	return false
}

// hold adds the rows of a constraint that lets nothing pass: it must move (x, y) from where base
// is.
func (s *Set) hold(f Constraint, x, y float64) {
	f.PX, f.PY = x, y
	f.ways(s.CharLength, s.held.add)
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
	eps, err := s.least()
	if err != nil {
		return err
	}
	if s.Fixed && eps > FoulTol { // the register's shift joins the relaxation
		s.Constraints = append(s.Constraints, Constraint{PX: -s.Target.X, PY: -s.Target.Y, Mark: OfShift})
		s.Fixed = false
		if eps, err = s.least(); err != nil {
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
	s.layRows()
	return nil
}

// least minimises ε over |r_k| ≤ room_k + ε, sets base to where it is attained and
// multipliers to the sizes of the constraints'.
func (s *Set) least() (eps float64, err error) {
	s.heldRows()
	s.multipliers, s.doubt = dense.Resize(s.multipliers, len(s.Constraints)), 0
	switch {
	case s.Fixed && len(s.Constraints) == 1: // the target turns as near to its middle as it can
		s.Base, s.multipliers[0] = s.Scaled(s.Target), 1
		f := &s.Constraints[0]
		return f.at(s.Target) - f.Radius, nil
	case s.twoDiscs():
		return s.leastOfTwo(), nil
	}
	eps, unit, err := s.leastByCones(false)
	return unit * eps, err
}

func (s *Set) twoDiscs() bool {
	return !s.Fixed && len(s.Constraints) == 2 && !s.Constraints[0].Slab && !s.Constraints[1].Slab
}

// leastRadius, in mm, is what a constraint without any room is taken to leave where shares of rooms are asked for.
const leastRadius = 1e-6

// Utilisation is the least λ with |r_k| ≤ λ·room_k for every constraint at some float: above 1 the joint does
// not assemble, or its register is strained. Convex in where the constraints lie. The set stays as it is.
func (s *Set) Utilisation() (float64, error) {
	t := *s
	t.Constraints, t.Fixed = slices.Clone(s.strained), s.Fixed && len(s.strained) == 0
	for _, f := range s.Constraints {
		if f.Radius -= s.Lack; s.Lack > 0 && f.Mark == OfShift && f.Radius <= FoulTol { // a held shift that gave way
			t.Fixed = len(s.strained) == 0
			continue
		}
		f.Radius = math.Max(f.Radius, leastRadius)
		t.Constraints = append(t.Constraints, f)
	}
	t.heldRows()
	switch {
	case len(t.Constraints) == 0:
		return 0, nil
	case t.Fixed && len(t.Constraints) == 1:
		return t.Constraints[0].at(t.Target) / t.Constraints[0].Radius, nil
	case t.twoDiscs():
		d, _, _, _ := t.apart()
		return d / (t.Constraints[0].Radius + t.Constraints[1].Radius), nil
	}
	t.multipliers = make([]float64, len(t.Constraints))
	share, _, err := t.leastByCones(true)
	return math.Max(0, share), err
}

// apart is how far the middles of two discs are from each other at the turn where they are nearest, that way, and the turn.
func (s *Set) apart() (d, dx, dy, g float64) {
	f, o := &s.Constraints[0], &s.Constraints[1]
	dx, dy = o.PX-f.PX, o.PY-f.PY
	ax, ay := o.QX-f.QX, o.QY-f.QY
	g = s.Target.G
	if a := ax*ax + ay*ay; s.Turns && a > 0 {
		g = -(dx*ax + dy*ay) / a
	}
	dx, dy = dx+g*ax, dy+g*ay
	return dense.Length(dx, dy), dx, dy, g
}

// leastOfTwo is the least ε of two discs, turned to where their middles are nearest: half of what
// the gap between these exceeds both rooms by, or the smaller room to spare when that disc can lie
// within the other.
func (s *Set) leastOfTwo() float64 {
	f, o := &s.Constraints[0], &s.Constraints[1]
	d, dx, dy, g := s.apart()
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

// leastByCones finds the least ε, in the unit beside it, by a cone program; or, of shares, the least λ with |r_k| ≤ λ·room_k.
func (s *Set) leastByCones(shares bool) (eps, unit float64, err error) {
	unit = leastUnit
	for i := range s.Constraints {
		unit = math.Max(unit, math.Max(s.Constraints[i].Radius, s.Constraints[i].at(s.Target)))
	}
	s.Base = s.Scaled(s.Target)
	s.layRows()
	p := &s.problem
	p.Reset(s.Dim + 1)
	p.Cost()[s.Dim] = 1
	for i := range s.Constraints {
		room := s.cone(p, i, 0, unit)
		if room[s.Dim] = 1; shares {
			room[s.Dim], room[s.Dim+1] = room[s.Dim+1], 0
		}
	}
	res, err := s.solver.Solve(p, FoulTol)
	if err != nil {
		return 0, unit, fault.Unsolved("how a joint floats", "/joints", err)
	}
	for k := range s.Dim {
		for i := range 3 {
			s.Base[i] += unit * res.X[k] * s.Span[k][i]
		}
	}
	for i := range s.multipliers {
		s.multipliers[i] = floats.Norm(s.solver.Dual(i)[1:], 2)
	}
	s.doubt = unit * res.Gap
	return res.X[s.Dim], unit, nil
}

// heldRows starts the rows with what does not depend on constraints.
func (s *Set) heldRows() {
	s.held = frame{}
	if !s.Turns {
		s.held.add([3]float64{0, 0, 1}, 0)
	}
	if s.Fixed {
		s.held.add([3]float64{1, 0, 0}, 0)
		s.held.add([3]float64{0, 1, 0}, 0)
	}
}

// layRows moves base as the rows say and makes span an orthonormal basis of what they leave free.
// It reports whether they agree.
func (s *Set) layRows() bool {
	if s.held.n == 0 { // nothing is held, as of most floats
		s.Span, s.Dim = [3][3]float64{{1}, {0, 1}, {0, 0, 1}}, 3
		return !s.held.conflict
	}
	q := s.held
	for k := range q.n {
		for i := range 3 {
			s.Base[i] += q.far[k] * q.rows[k][i]
		}
	}
	for k := range 3 {
		var e [3]float64
		e[k] = 1
		q.add(e, 0)
	}
	s.Dim = copy(s.Span[:], q.rows[s.held.n:q.n])
	return !s.held.conflict
}

// frame is an orthonormal basis that rows are added to, and how far along each of its own base must
// move.
type frame struct {
	rows     [3][3]float64
	far      [3]float64
	n        int
	conflict bool // some row asks for another move than those before it
}

// add adds a row, and how far base must move along it.
func (q *frame) add(v [3]float64, end float64) {
	const lost = 1e-9 // a row that keeps less than this of its length beside the others adds nothing
	size := dense.Length3(v[0], v[1], v[2])
	if size == 0 {
		return
	}
	for range 2 {
		for k, r := range q.rows[:q.n] {
			d := v[0]*r[0] + v[1]*r[1] + v[2]*r[2]
			end -= d * q.far[k]
			for i := range 3 {
				v[i] -= d * r[i]
			}
		}
	}
	left := dense.Length3(v[0], v[1], v[2])
	if left <= lost*size || q.n == 3 {
		q.conflict = q.conflict || math.Abs(end) > openTol
		return
	}
	for i := range 3 {
		q.rows[q.n][i] = v[i] / left
	}
	q.far[q.n] = end / left
	q.n++
}
