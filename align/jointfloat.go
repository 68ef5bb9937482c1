package align

import (
	"math"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/align/internal/tol"
)

// boltMark marks the constraint of a bolt; a pin's is marked with its index.
const boltMark = -2

// The formulas of a joint's float stand here once: the kernel lays out one joint with them, the
// columns the same joint in many samples.

// pilotClearance is the diametral clearance between A's pilot of diameter a and B's of diameter b,
// or of a ring in both where both are bores; negative when squeezed.
func pilotClearance(kindA, kindB PilotKind, a, b, ring float64) float64 {
	switch {
	case kindA == kindB:
		return max(a-ring, 0) + max(b-ring, 0)
	case kindA == PilotBore:
		return a - b
	}
	return b - a
}

// strainOf is by how much the mouths of a register lean farther apart than a clearance lets them:
// (tx, ty) over its length; 0 within rounding.
func strainOf(length, tx, ty, clearance float64) float64 {
	if over := length*dense.Length(tx, ty) - clearance; over > tol.Touching {
		return over
	}
	return 0
}

// towards is the length of a register as a way along z from its front mouth to its rear mouth, B's
// pilot being of that kind: a spigot reaches forward.
func towards(kindB PilotKind, length float64) float64 {
	if kindB == Spigot {
		return -length
	}
	return length
}

// setPin sets a pin's constraint but for how it holds: where B is not shifted its hole lies at (x,
// y) in A, which is (rx, ry) from the registration point; A's hole lies at (ax, ay), and the pin
// steps aside by (stepX, stepY).
func setPin(f *floatset.Constraint, x, y, rx, ry, ax, ay, stepX, stepY float64) {
	f.PX, f.PY = x-ax-stepX, y-ay-stepY
	f.QX, f.QY = -ry, rx
}

// setBolt sets the constraint of a bolt at b, the registration point lying at (qx, qy).
func setBolt(f *floatset.Constraint, b Vec2, qx, qy, clearance float64) {
	f.QX, f.QY, f.Radius = qy-float64(b.Y), float64(b.X)-qx, clearance/2
}

// lieIn is where a joint lies that was not measured, its float prepared: (dx, dy) is how a shift
// along x and y lowers it, u what its float is drawn from, nil outside samples.
func lieIn(s *floatset.Set, how Lie, rest floatset.Vec, dx, dy float64, u *floatset.Numbers) (floatset.Vec, error) {
	switch {
	case how == LiesHang:
		return s.Hang(dx, dy)
	case how == LiesUniform && u != nil:
		return s.Uniform(*u)
	case how == LiesRim && u != nil:
		return s.Rim(rest, u[0]), nil
	}
	return rest, nil
}

// layFloat lists the constraints and the target of a joint's float.
func (seat *seating) layFloat(j *Joint, fa, fb *mountedFace, pins []pinHoles) {
	s := &seat.set
	s.Begin(len(pins) > 0)
	if seat.pilot {
		s.AddRegister(math.Max(seat.cp, 0), seat.zeta*seat.tx, seat.zeta*seat.ty, seat.strain > 0)
	}
	full := 0
	for k := range pins {
		pin := &j.Pins[k]
		ha, hb := &fa.dowels[pins[k].a], &fb.dowels[pins[k].b]
		f := floatset.Constraint{Radius: pinClearance(pin.Pressed, float64(pin.Diameter), ha.d, hb.d) / 2, Mark: k}
		at := seat.hole(hb)
		setPin(&f, at.X, at.Y, at.X-seat.q.X, at.Y-seat.q.Y, ha.x, ha.y, float64(pin.Step.X), float64(pin.Step.Y))
		if pin.Locates.Given {
			f.Slab = true
			f.NX, f.NY = pin.Locates.Value.unit()
		} else {
			full++
		}
		s.Constraints = append(s.Constraints, f)
	}
	if j.boltsHold(seat.pilot, full) {
		s.Turns = true
		for _, b := range j.Bolts {
			f := floatset.Constraint{Mark: boltMark}
			setBolt(&f, b, seat.q.X, seat.q.Y, float64(j.BoltClearance.Value))
			s.Constraints = append(s.Constraints, f)
		}
	}
	s.Measure()
	s.Aim(seat.pilot)
}

// boltsHold reports whether bolts in their holes are what bounds the float: there is no pilot, and
// fewer than two pins hold in full.
func (j *Joint) boltsHold(pilot bool, full int) bool {
	return !pilot && full < 2 && j.BoltClearance.Given
}

// unit is the direction of s.
func (s Slope) unit() (x, y float64) {
	n := dense.Length(s.X, s.Y)
	return s.X / n, s.Y / n
}

// pinClearance is the diametral clearance of a pin of diameter d in the hole or holes that it is
// not pressed in.
func pinClearance(pressed Press, d, holeA, holeB float64) float64 {
	switch pressed {
	case PressedFront:
		return max(holeB-d, 0)
	case PressedRear:
		return max(holeA-d, 0)
	}
	return max(holeA-d, 0) + max(holeB-d, 0)
}
