package align

import (
	"math"

	"example.com/borestack/align/internal/conic"
	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/tol"
)

// pinHoles are the dowel holes that a pin joins: indices into the front part's rear face and the rear part's front face, as mounted.
type pinHoles struct{ a, b int }

// fence is one limit on the float: |p + f + γ q| ≤ room, or |n·(p + f + γ q)| ≤ room for a flatted pin or slot.
type fence struct {
	px, py, qx, qy float64
	room           float64
	slab           bool
	nx, ny         float64
	pin            int // index of the pin; -1 the pilot, -2 a bolt
}

const (
	pilotFence = -1
	boltFence  = -2
)

// at is how far (x, y, γ) is from the middle of the fence.
func (f *fence) at(v float3) float64 {
	x, y := f.px+v.x+v.g*f.qx, f.py+v.y+v.g*f.qy
	if f.slab {
		return math.Abs(f.nx*x + f.ny*y)
	}
	return dense.Length(x, y)
}

// Lengths, in mm, that decide whether a float has any extent.
const (
	foulTol = 1e-9  // lack of room that is rounding: a pin that just enters, enters
	openTol = 1e-12 // room below which a full fence holds like a press fit: a float that thin is yet a few tenths of a nanometre long
	slabTol = 1e-10 // the same beside flatted pins: thinner floats are lost on the program that they need
	pullTol = 1e-6  // share of the multipliers above which a fence takes part
)

// thin is the room below which a fence of the set holds like a press fit.
func (s *floatSet) thin() float64 {
	for i := range s.fences {
		if s.fences[i].slab {
			return slabTol
		}
	}
	return openTol
}

// holds reports whether v keeps within the fence, with so much more room.
func (f *fence) holds(v float3, more float64) bool {
	x, y := f.px+v.x+v.g*f.qx, f.py+v.y+v.g*f.qy
	if f.slab {
		x, y = f.nx*x+f.ny*y, 0
	}
	room := f.room + more
	return room >= 0 && x*x+y*y <= room*room
}

// floatSet is the set F of floats that pilot, pins and bolts leave, convex in (fx, fy, γ). Source: small displacements, first order in γ.
//
// Inside, v = (fx, fy, lever·γ) so that all three are lengths; F is base + span·t over the t within the open fences.
type floatSet struct {
	fences    []fence
	turns     bool    // γ is free; else the bolt pattern sets the clock
	fixed     bool    // the shift is held at the target: a full, squeezed or strained register
	lever     float64 // the largest |R_k|, or 1
	target    float3  // where it would rest with room to spare
	lack      float64 // ε: what every radius lacks; 0 when it assembles
	fouls     []int   // fences that stand in the way
	base      [3]float64
	span      [3][3]float64
	dim       int
	open      []int        // fences that still bound t
	rows      [][3]float64 // directions that are held,
	ends      []float64    // and how far along each the base must still move
	solver    conic.Solver
	problem   conic.Problem
	pulls     []float64 // of each fence, in the last least ε,
	doubt     float64   // and by how much that may be wrong
	rested    bool      // nearestAt is set
	nearestAt float3
	looked    bool // sets has been looked for
	sets      []shiftSet
}

// build lists the fences and the target of one joint. prepare does the rest.
func (s *floatSet) build(seat *seating, j *Joint, fa, fb *mountedFace, pins []pinHoles) {
	s.begin(len(pins) > 0)
	if seat.pilot {
		lx, ly := seat.zeta*seat.tx, seat.zeta*seat.ty
		s.register(math.Max(seat.cp, 0), lx, ly, seat.strain > 0)
	}
	full := 0
	for k := range pins {
		pin := &j.Pins[k]
		ha, hb := &fa.dowels[pins[k].a], &fb.dowels[pins[k].b]
		f := fence{
			px: seat.holes[k].X - ha.x - float64(pin.Step.X), py: seat.holes[k].Y - ha.y - float64(pin.Step.Y),
			qx: -(seat.holes[k].Y - seat.q.Y), qy: seat.holes[k].X - seat.q.X,
			room: pinClearance(pin.Pressed, float64(pin.Diameter), ha.d, hb.d) / 2, pin: k,
		}
		if pin.Locates.Given {
			n := dense.Length(pin.Locates.Value.X, pin.Locates.Value.Y)
			f.slab, f.nx, f.ny = true, pin.Locates.Value.X/n, pin.Locates.Value.Y/n
		} else {
			full++
		}
		s.fences = append(s.fences, f)
	}
	if !seat.pilot && full < 2 && j.BoltClearance.Given {
		s.turns = true
		for _, b := range j.Bolts {
			s.bolt(float64(b.X)-seat.q.X, float64(b.Y)-seat.q.Y, float64(j.BoltClearance.Value))
		}
	}
	s.measure()
	s.aim(seat.pilot)
}

// begin starts a joint without fences.
func (s *floatSet) begin(turns bool) {
	s.fences, s.fixed, s.turns = s.fences[:0], false, turns
	s.target = float3{}
}

// register adds the fences of a pilot with clearance c, whose mouths lie (lx, ly) apart; a full or strained one holds the shift.
func (s *floatSet) register(c, lx, ly float64, strained bool) {
	s.target.x, s.target.y = -lx/2, -ly/2
	if strained || c <= tol.Touching {
		s.fixed = true
		return
	}
	s.fences = append(s.fences, fence{room: c / 2, pin: pilotFence})
	if size2(lx, ly) > oneMouth {
		s.fences = append(s.fences, fence{px: lx, py: ly, room: c / 2, pin: pilotFence})
	}
}

// oneMouth is how far apart, in mm, the mouths of a pilot lie by rounding alone: the lens of two such discs is one
// of them, and has no corners to look at.
const oneMouth = 1e-12

// bolt adds the fence of a bolt at (x, y) from the registration point.
func (s *floatSet) bolt(x, y, clearance float64) {
	s.fences = append(s.fences, fence{qx: -y, qy: x, room: clearance / 2, pin: boltFence})
}

// measure sets the lever.
func (s *floatSet) measure() {
	most := 0.0
	for i := range s.fences {
		f := &s.fences[i]
		if q := f.qx*f.qx + f.qy*f.qy; q > most {
			most = q
		}
	}
	s.lever = math.Sqrt(most)
	if most == 0 {
		s.lever = 1
	}
}

// pinClearance is the diametral clearance of a pin of diameter d in the hole or holes that it is not pressed in.
func pinClearance(pressed Press, d, holeA, holeB float64) float64 {
	switch pressed {
	case PressedFront:
		return notNegative(holeB - d)
	case PressedRear:
		return notNegative(holeA - d)
	}
	return notNegative(holeA-d) + notNegative(holeB-d)
}

// notNegative is x, or 0 where x is less.
func notNegative(x float64) float64 {
	if x > 0 {
		return x
	}
	return 0
}

// fixShift holds the shift at (x, y): a pilot-led seat.
func (s *floatSet) fixShift(x, y float64) {
	n := s.fences[:0]
	for _, f := range s.fences {
		if f.pin != pilotFence {
			n = append(n, f)
		}
	}
	s.fences, s.fixed = n, true
	s.target = float3{x: x, y: y}
	s.aim(true)
}

// aim completes the target: γ (and, without a pilot, the shift) of least Σ|r_k|².
func (s *floatSet) aim(pilot bool) {
	if !s.turns {
		return
	}
	if pilot {
		var qq, qr float64
		for i := range s.fences {
			f := &s.fences[i]
			if f.pin == pilotFence {
				continue
			}
			x, y := f.px+s.target.x, f.py+s.target.y
			if f.slab {
				q := f.nx*f.qx + f.ny*f.qy
				qq += q * q
				qr += q * (f.nx*x + f.ny*y)
			} else {
				qq += f.qx*f.qx + f.qy*f.qy
				qr += f.qx*x + f.qy*y
			}
		}
		if qq > 0 {
			s.target.g = -qr / qq
		}
		return
	}
	// least squares over (x, y, lever·γ)
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
	for i := range s.fences {
		f := &s.fences[i]
		qx, qy := f.qx/s.lever, f.qy/s.lever
		if f.slab {
			add([3]float64{f.nx, f.ny, f.nx*qx + f.ny*qy}, f.nx*f.px+f.ny*f.py)
		} else {
			add([3]float64{1, 0, qx}, f.px)
			add([3]float64{0, 1, qy}, f.py)
		}
	}
	if v, ok := dense.Solve3(a, b); ok {
		s.target = float3{v[0], v[1], v[2] / s.lever}
	}
}

// room is the widest room of the open fences.
func (s *floatSet) room() float64 {
	room := 0.0
	for _, i := range s.open {
		room = math.Max(room, s.fences[i].room)
	}
	return room
}

// roomy reports whether every fence, but for one that need not be looked at, or -1, leaves at least so much room at v.
func (s *floatSet) roomy(v float3, room float64, but int) bool {
	for i := range s.fences {
		if f := &s.fences[i]; i != but && !f.holds(v, -room) {
			return false
		}
	}
	return true
}

func (s *floatSet) scaled(v float3) [3]float64 { return [3]float64{v.x, v.y, v.g * s.lever} }
func (s *floatSet) plain(v [3]float64) float3  { return float3{v[0], v[1], v[2] / s.lever} }
