package floatset

import (
	"math"

	"example.com/borestack/align/internal/conic"
	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/tol"
)

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

// Set is the set F of floats that pilot, pins and bolts leave, convex in (fx, fy, γ). Source: small
// displacements, first order in γ.
//
// Inside, v = (fx, fy, L·γ) so that all three are lengths; F is base + span·t over the t within the
// open constraints.
type Set struct {
	Constraints []Constraint
	Turns       bool         // γ is free; else it is 0
	Fixed       bool         // the shift is held at the target
	strained    []Constraint // of a register that is held because it is strained
	CharLength  float64      // L: the largest |q|, or 1 without any
	Target      Vec          // where it would rest with room to spare
	Lack        float64      // ε: what every radius lacks; 0 when it assembles
	Fouls       []int        // constraints that stand in the way
	Base        [3]float64
	Span        [3][3]float64
	Dim         int
	Open        []int // constraints that still bound t
	held        frame // directions that are held, and how far along each the base must still move
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
	s.Constraints, s.Fixed, s.Turns, s.strained = s.Constraints[:0], false, turns, s.strained[:0]
	s.Target = Vec{}
}

// AddRegister adds two discs of the shift with diameter c whose middles lie (lx, ly) apart, one
// where they coincide; the shift is held where c is nothing or they are strained.
func (s *Set) AddRegister(c, lx, ly float64, strained bool) {
	s.Target.X, s.Target.Y = -lx/2, -ly/2
	if c <= tol.Touching {
		s.Fixed = true
		return
	}
	n := len(s.Constraints)
	s.Constraints = append(s.Constraints, Constraint{Radius: c / 2, Mark: OfShift})
	if lx != 0 || ly != 0 {
		s.Constraints = append(s.Constraints, Constraint{PX: lx, PY: ly, Radius: c / 2, Mark: OfShift})
	}
	if strained {
		s.Fixed, s.strained, s.Constraints = true, append(s.strained, s.Constraints[n:]...), s.Constraints[:n]
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
	var n normal
	for i := range s.Constraints {
		s.Constraints[i].ways(s.CharLength, n.add)
	}
	if v, ok := dense.Solve3(n.a, n.b); ok {
		s.Target = s.Vec(v)
	}
}

// normal are the normal equations a v = b of the least Σ (r·v + p)² over v = (x, y, L·γ).
type normal struct {
	a [3][3]float64
	b [3]float64
}

func (n *normal) add(r [3]float64, p float64) {
	for i := range 3 {
		for k := range 3 {
			n.a[i][k] += r[i] * r[k]
		}
		n.b[i] -= r[i] * p
	}
}

// Bounded reports whether the constraints hold every way to move: the directions that they locate
// span shift and turn.
func (s *Set) Bounded(pilot bool) bool {
	const (
		held = 1e-9 // share of the largest below which nothing is held
		arm  = 1e-6 // mm: a pin nearer the registration point than that stands on it but for rounding, and holds no turn
	)
	var n normal
	if pilot {
		n.add([3]float64{1, 0, 0}, 0)
		n.add([3]float64{0, 1, 0}, 0)
	}
	for _, f := range s.Constraints {
		if dense.Length(f.QX, f.QY) < arm {
			f.QX, f.QY = 0, 0
		}
		f.ways(s.CharLength, n.add)
	}
	a := &n.a
	det := a[0][0]*(a[1][1]*a[2][2]-a[1][2]*a[2][1]) - a[0][1]*(a[1][0]*a[2][2]-a[1][2]*a[2][0]) + a[0][2]*(a[1][0]*a[2][1]-a[1][1]*a[2][0])
	trace := a[0][0] + a[1][1] + a[2][2]
	return det > held*held*trace*trace*trace
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

func (s *Set) Scaled(v Vec) [3]float64 { return [3]float64{v.X, v.Y, v.G * s.CharLength} }

func (s *Set) Vec(v [3]float64) Vec { return Vec{v[0], v[1], v[2] / s.CharLength} }

// AtSpan is base + span·t.
func (s *Set) AtSpan(t [3]float64) Vec {
	v := s.Base
	for k := range s.Dim {
		for i := range 3 {
			v[i] += s.Span[k][i] * t[k]
		}
	}
	return s.Vec(v)
}

// inSpan is the t of a point, or of the point of base + span·t nearest it.
func (s *Set) inSpan(v [3]float64) (t [3]float64) {
	for k := range s.Dim {
		for i := range 3 {
			t[k] += s.Span[k][i] * (v[i] - s.Base[i])
		}
	}
	return t
}

// whole reports whether every constraint is open, and F has all shifts, with all turns or none.
func (s *Set) whole() bool {
	return len(s.Open) == len(s.Constraints) && (s.Dim == 3 || s.Dim == 2 && !s.Turns)
}
