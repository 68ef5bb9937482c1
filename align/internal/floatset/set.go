package floatset

import (
	"math"

	"example.com/borestack/align/internal/conic"
	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/tol"
)

// Vec is a displacement: fx, fy in mm, and the turn γ in radians.
type Vec struct{ X, Y, G float64 }

// Constraint is one limit on the float: |p + f + γ q| ≤ room, or |n·(p + f + γ q)| ≤ room for a
// flatted pin or slot.
type Constraint struct {
	PX, PY, QX, QY float64
	Radius         float64
	Slab           bool
	NX, NY         float64
	Mark           int // the caller's mark; OfShift: it bounds the shift alone
}

// OfShift marks a constraint of the shift alone: it is not asked for a turn, and gives way where
// the shift is held.
const OfShift = -1

// at is how far (x, y, γ) is from the middle of the constraint.
func (f *Constraint) at(v Vec) float64 {
	x, y := f.PX+v.X+v.G*f.QX, f.PY+v.Y+v.G*f.QY
	if f.Slab {
		return math.Abs(f.NX*x + f.NY*y)
	}
	return dense.Length(x, y)
}

// Lengths, in mm, that decide whether a float has any extent.
const (
	FoulTol    = 1e-9  // lack of room that is rounding: a pin that just enters, enters
	openTol    = 1e-12 // room below which a full constraint holds like a lock: a float that thin is yet a few tenths of a nanometre long
	slabTol    = 1e-10 // the same beside flatted pins: thinner floats are lost on the program that they need
	leastShare = 1e-6  // share of the multipliers above which a constraint takes part
)

// Thin is the room below which a constraint of the set holds like a lock.
func (s *Set) Thin() float64 {
	for i := range s.Constraints {
		if s.Constraints[i].Slab {
			return slabTol
		}
	}
	return openTol
}

// holds reports whether v keeps within the constraint, with so much more room.
func (f *Constraint) holds(v Vec, more float64) bool {
	x, y := f.PX+v.X+v.G*f.QX, f.PY+v.Y+v.G*f.QY
	if f.Slab {
		x, y = f.NX*x+f.NY*y, 0
	}
	room := f.Radius + more
	return room >= 0 && x*x+y*y <= room*room
}

// Set is the set F of floats that pilot, pins and bolts leave, convex in (fx, fy, γ). Source: small
// displacements, first order in γ.
//
// Inside, v = (fx, fy, L·γ) so that all three are lengths; F is base + span·t over the t within the
// open constraints.
type Set struct {
	Constraints []Constraint
	Turns       bool    // γ is free; else it is 0
	Fixed       bool    // the shift is held at the target
	CharLength  float64 // L: the largest |q|, or 1 without any
	Target      Vec     // where it would rest with room to spare
	Lack        float64 // ε: what every radius lacks; 0 when it assembles
	Fouls       []int   // constraints that stand in the way
	Base        [3]float64
	Span        [3][3]float64
	Dim         int
	Open        []int        // constraints that still bound t
	rows        [][3]float64 // directions that are held,
	ends        []float64    // and how far along each the base must still move
	solver      conic.Solver
	problem     conic.Problem
	multipliers []float64 // of each constraint, in the last least ε,
	doubt       float64   // and by how much that may be wrong
	rested      bool      // nearestAt is set
	nearestAt   Vec
	looked      bool // sets has been looked for
	sets        []shiftSet
	pair        twoSets  // the first two of them, unless one is a slab
	cutUp       *section // nil until a draw follows its numbers
}

// Begin starts a set without constraints.
func (s *Set) Begin(turns bool) {
	s.Constraints, s.Fixed, s.Turns = s.Constraints[:0], false, turns
	s.Target = Vec{}
}

// AddRegister adds two discs of the shift with diameter c whose middles lie (lx, ly) apart, one
// where they coincide; the shift is held where c is nothing or they are strained.
func (s *Set) AddRegister(c, lx, ly float64, strained bool) {
	s.Target.X, s.Target.Y = -lx/2, -ly/2
	if strained || c <= tol.Touching {
		s.Fixed = true
		return
	}
	s.Constraints = append(s.Constraints, Constraint{Radius: c / 2, Mark: OfShift})
	if lx != 0 || ly != 0 {
		s.Constraints = append(s.Constraints, Constraint{PX: lx, PY: ly, Radius: c / 2, Mark: OfShift})
	}
}

// Measure sets the characteristic length.
func (s *Set) Measure() {
	most := 0.0
	for i := range s.Constraints {
		f := &s.Constraints[i]
		if q := f.QX*f.QX + f.QY*f.QY; q > most {
			most = q
		}
	}
	s.CharLength = math.Sqrt(most)
	if most == 0 {
		s.CharLength = 1
	}
}

// FixShift holds the shift at (x, y) and drops the constraints of the shift alone.
func (s *Set) FixShift(x, y float64) {
	n := s.Constraints[:0]
	for _, f := range s.Constraints {
		if f.Mark != OfShift {
			n = append(n, f)
		}
	}
	s.Constraints, s.Fixed = n, true
	s.Target = Vec{X: x, Y: y}
	s.Aim(true)
}

// Turning is what a constraint adds to Σ|q|² and Σ q·r, of which the turn of least Σ|r|² is made:
// γ = −Σ q·r / Σ|q|², r being how far (x, y) without a turn is from the constraint's middle.
func (f *Constraint) Turning(x, y float64) (qq, qr float64) {
	x, y = f.PX+x, f.PY+y
	if f.Slab {
		q := f.NX*f.QX + f.NY*f.QY
		return q * q, q * (f.NX*x + f.NY*y)
	}
	return f.QX*f.QX + f.QY*f.QY, f.QX*x + f.QY*y
}

// ways lists the directions in (fx, fy, L·γ) that the constraint holds, and where (PX, PY) lies
// along each.
func (f *Constraint) ways(long float64, add func(r [3]float64, p float64)) {
	qx, qy := f.QX/long, f.QY/long
	if f.Slab {
		add([3]float64{f.NX, f.NY, f.NX*qx + f.NY*qy}, f.NX*f.PX+f.NY*f.PY)
		return
	}
	add([3]float64{1, 0, qx}, f.PX)
	add([3]float64{0, 1, qy}, f.PY)
}

// Aim completes the target: γ (and, without a pilot, the shift) of least Σ|r_k|².
func (s *Set) Aim(pilot bool) {
	if !s.Turns {
		return
	}
	if pilot {
		var qq, qr float64
		for i := range s.Constraints {
			f := &s.Constraints[i]
			if f.Mark == OfShift {
				continue
			}
			a, b := f.Turning(s.Target.X, s.Target.Y)
			qq, qr = qq+a, qr+b
		}
		if qq > 0 {
			s.Target.G = -qr / qq
		}
		return
	}
	// least squares over (x, y, L·γ)
	var a [3][3]float64
	var b [3]float64
	add := func(r [3]float64, v float64) {
		for i := range 3 {
			for k := range 3 {
				a[i][k] += r[i] * r[k]
			}
			b[i] -= r[i] * v
		}
	}
	for i := range s.Constraints {
		s.Constraints[i].ways(s.CharLength, add)
	}
	if v, ok := dense.Solve3(a, b); ok {
		s.Target = Vec{v[0], v[1], v[2] / s.CharLength}
	}
}

// WidestRadius is the widest room of the open constraints.
func (s *Set) WidestRadius() float64 {
	room := 0.0
	for _, i := range s.Open {
		room = math.Max(room, s.Constraints[i].Radius)
	}
	return room
}

// Roomy reports whether every constraint, but for one that need not be looked at, or -1, leaves at
// least so much room at v.
func (s *Set) Roomy(v Vec, room float64, but int) bool { return Roomy(s.Constraints, v, room, but) }

// Roomy is [Set.Roomy] of constraints by themselves.
func Roomy(c []Constraint, v Vec, room float64, but int) bool {
	for i := range c {
		if f := &c[i]; i != but && !f.holds(v, -room) {
			return false
		}
	}
	return true
}

func (s *Set) Scaled(v Vec) [3]float64 { return [3]float64{v.X, v.Y, v.G * s.CharLength} }

func (s *Set) Vec(v [3]float64) Vec { return Vec{v[0], v[1], v[2] / s.CharLength} }

// Most floats are those of two features: a pilot, or the lens of a pilot that leans, and a pin; or
// two pins. Their farthest point has one unknown.

// shiftSet is where the shift f (with γ q added) may be: one constraint's disc, or the lens of two
// equal discs with the same arm q, however near to each other.
type shiftSet struct {
	px, py, qx, qy float64 // p + f + γq is within the disc
	room           float64
	lx, ly         float64 // the second disc's middle is at -l from the first's; 0 for one disc
	lens           bool
	slab           bool // |n·(p + f + γq)| is within room instead
	nx, ny         float64
}

// point is the farthest point of the set in direction (ux, uy), which need not be a unit vector; as
// a displacement p + f + γq. Without a direction it is the set's middle.
//
// A disc's own farthest point r u is the lens's while |r u + l| ≤ r, that is u·l ≤ -l²/2r; between
// the two discs' shares of the directions lie those of a corner. Said that way nothing cancels:
// discs that coincide but for rounding leave a corner directions that are as good as none, and
// there the disc's point is the corner.
func (d *shiftSet) point(ux, uy float64) (x, y float64) {
	size := math.Sqrt(ux*ux + uy*uy)
	if size == 0 {
		return -d.lx / 2, -d.ly / 2
	}
	ux, uy = ux/size, uy/size
	x, y = d.room*ux, d.room*uy
	if !d.lens {
		return x, y
	}
	along, half := ux*d.lx+uy*d.ly, (d.lx*d.lx+d.ly*d.ly)/2
	switch {
	case d.room*along <= -half:
		return x, y
	case d.room*along >= half:
		return x - d.lx, y - d.ly
	}
	// Half a chord, square to l, on the side of u.
	apart := math.Sqrt(2 * half)
	chord := math.Sqrt(math.Max(0, (d.room-apart/2)*(d.room+apart/2)))
	nx, ny := -d.ly/apart, d.lx/apart
	if nx*ux+ny*uy < 0 {
		chord = -chord
	}
	return chord*nx - d.lx/2, chord*ny - d.ly/2
}

// AtSpan is base + span·t.
func (s *Set) AtSpan(t []float64) Vec {
	v := s.Base
	for k := range s.Dim {
		for i := range 3 {
			v[i] += s.Span[k][i] * t[k]
		}
	}
	return s.Vec(v)
}
