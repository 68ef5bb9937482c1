package align

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/align/internal/seat"
)

// straight is the lean, in radians, below which two pilots count as parallel: what is left by
// rounding between axes square to faces that close on each other. Over an engagement of a metre it
// is within touching.
const straight = 1e-15

// seating is one joint worked out in its front part's frame A, before the parts are placed.
type seating struct {
	normal   r3.Vec     // nA of the meeting plane
	mx, my   float64    // slope of the meeting plane: a + gs
	q        r3.Vec     // qA, the registration point on the meeting plane
	qB       r3.Vec     // the same on B's front face, in B
	planeB   seat.Plane // of B's front face, in B
	seated   Pose       // R at nominal clock with the faces flush, and no translation
	pilot    bool       // a pilot constrains the float
	cp       float64    // diametral clearance, negative when squeezed
	engaged  float64    // L
	zeta     float64    // L, along z from the front mouth to the rear mouth
	tx, ty   float64    // lean τ
	strain   float64
	canLead  bool    // a pilot-led seat can be worked out
	ringD    float64 // contact ring
	led      bool    // this seat is pilot-led
	standOff float64 // along nA
	gap      float64
	gapX     float64 // direction of the greatest gap
	gapY     float64
	lean     r3.Vec // rotation of the pilot-led seat, in A
	points   seat.Solver
	set      floatset.Set
	rest     floatset.Vec // where it rests in its float
	at       floatset.Vec // where it lies
}

// hole is where a hole of B lies in A when B is not shifted.
func (s *seating) hole(h *mountedHole) r3.Vec {
	at := r3.Sub(r3.Vec{X: h.x, Y: h.y, Z: s.planeB.At(h.x, h.y)}, s.qB)
	return r3.Add(s.seated.rotate(at), s.q)
}

// leanOf is how B's pilot axis leans from A's, from their slopes in A; a lean by rounding alone is
// none.
func leanOf(bx, by, ax, ay float64) (tx, ty float64) {
	tx, ty = bx-ax, by-ay
	if tx*tx+ty*ty <= straight*straight {
		return 0, 0
	}
	return tx, ty
}

// lead makes the seat pilot-led: B turned back until its pilot fits its bore, its face touching at
// one edge. A lean within its room changes nothing but the name.
func (s *seating) lead() {
	s.led = true
	size := dense.Length(s.tx, s.ty)
	room := math.Max(s.cp, 0) / s.engaged
	if s.strain == 0 {
		return
	}
	over := size - room
	ux, uy := s.tx/size, s.ty/size
	// The line in the meeting plane square to τ; turning back about it takes the lean from τ
	// towards nothing.
	line := unit3(r3.Vec{X: uy, Y: -ux, Z: s.mx*uy - s.my*ux})
	s.lean = r3.Scale(over, line)
	s.standOff = over * s.ringD / 2
	s.gap, s.gapX, s.gapY = over*s.ringD, ux, uy
	k := -s.zeta * room / (2 * size)
	s.set.FixShift(k*s.tx, k*s.ty)
}

// pose is aFromB with the float f.
func (s *seating) pose(f floatset.Vec) Pose {
	r := s.seated
	if f.G != 0 {
		r = turnBy(r3.Scale(f.G, s.normal)).compose(r)
	}
	if s.standOff > 0 {
		r = turnBy(s.lean).compose(r)
	}
	shift := r3.Vec{X: f.X, Y: f.Y, Z: s.mx*f.X + s.my*f.Y}
	t := r3.Add(r3.Add(s.q, shift), r3.Scale(s.standOff, s.normal))
	r.t = r3.Sub(t, r.rotate(s.qB))
	return r
}

// settle lays out the float and finds where the joint rests.
func (s *seating) settle() error {
	if err := s.set.Prepare(); err != nil {
		return err
	}
	var err error
	s.rest, err = s.set.Nearest()
	return err
}

// seat works out the joint between faces fa (A's rear) and fb (B's front).
func (s *seating) seat(j *Joint, fa, fb *mountedFace, pins []pinHoles) error {
	p, b := j.over(fa.p), fb.p
	s.led, s.standOff, s.gap, s.canLead = false, 0, 0, false
	s.pilot = fa.pilot && fb.pilot && (fa.kind != fb.kind || (j.RegisterRing.Given && fa.kind == PilotBore))
	if j.SeatOnPoints && len(fa.points)+len(fb.points) > 0 {
		var err error
		if p, b, err = s.seatOnPoints(j, fa, fb, p, b); err != nil {
			return err
		}
	}
	s.mx, s.my = p.SX, p.SY
	s.normal = unit3(r3.Vec{X: -p.SX, Y: -p.SY, Z: 1})
	s.seated = leastRotation(r3.Vec{X: b.SX, Y: b.SY, Z: -1}, r3.Vec{X: p.SX, Y: p.SY, Z: -1})
	if j.Clock != 0 {
		s.seated = turnBy(r3.Scale(-float64(j.Clock), s.normal)).compose(s.seated)
	}

	s.q = r3.Vec{Z: p.Z}
	s.qB = r3.Vec{Z: b.Z}
	s.planeB = b
	s.cp, s.strain, s.zeta, s.engaged, s.tx, s.ty = 0, 0, 0, 0, 0, 0
	if s.pilot {
		s.register(j, fa, fb, p, b)
	}
	s.layFloat(j, fa, fb, pins)
	return nil
}

// over is the plane of A's face with the gasket on it.
func (j *Joint) over(p seat.Plane) seat.Plane {
	if g := j.Gasket; g != nil {
		p = seat.Plane{Z: p.Z + float64(g.Thickness), SX: p.SX + g.Slope.X, SY: p.SY + g.Slope.Y}
	}
	return p
}

// register works out the pilot: centres, clearance, lean and strain.
func (s *seating) register(j *Joint, fa, fb *mountedFace, p, b seat.Plane) {
	s.q = r3.Vec{X: fa.cx, Y: fa.cy, Z: p.At(fa.cx, fa.cy)}
	s.qB = r3.Vec{X: fb.cx, Y: fb.cy, Z: b.At(fb.cx, fb.cy)}
	s.cp = pilotClearance(fa.kind, fb.kind, fa.pilotD, fb.pilotD, float64(j.RegisterRing.Value))
	axis := s.seated.rotate(r3.Vec{X: fb.px, Y: fb.py, Z: 1})
	s.tx, s.ty = leanOf(axis.X/axis.Z, axis.Y/axis.Z, fa.px, fa.py)
	if j.Engagement.Given {
		s.engaged = float64(j.Engagement.Value)
		s.zeta = towards(fb.kind, s.engaged)
		s.strain = strainOf(s.engaged, s.tx, s.ty, math.Max(s.cp, 0))
	}
	s.ringD = lesser(fa.diameter, fb.diameter)
	s.canLead = s.engaged > 0 && s.ringD > 0
}

// lesser is the lesser of two diameters, of which 0 is not given.
func lesser(a, b float64) float64 {
	if a == 0 || b > 0 && b < a {
		return b
	}
	return a
}
