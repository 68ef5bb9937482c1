package align

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/internal/seat"
)

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
