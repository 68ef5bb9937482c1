package align

import (
	"math"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/floatset"
)

// pinHoles are the dowel holes that a pin joins: indices into the front part's rear face and the
// rear part's front face, as mounted.
type pinHoles struct{ a, b int }

// boltFence marks the fence of a bolt; a pin's is marked with its index.
const boltFence = -2

// layFloat lists the fences and the target of a joint's float.
func (seat *seating) layFloat(j *Joint, fa, fb *mountedFace, pins []pinHoles) {
	s := &seat.set
	s.Begin(len(pins) > 0)
	if seat.pilot {
		lx, ly := seat.zeta*seat.tx, seat.zeta*seat.ty
		s.AddRegister(math.Max(seat.cp, 0), lx, ly, seat.strain > 0)
	}
	full := 0
	for k := range pins {
		pin := &j.Pins[k]
		ha, hb := &fa.dowels[pins[k].a], &fb.dowels[pins[k].b]
		f := floatset.Constraint{
			PX: seat.holes[k].X - ha.x - float64(pin.Step.X), PY: seat.holes[k].Y - ha.y - float64(pin.Step.Y),
			QX: -(seat.holes[k].Y - seat.q.Y), QY: seat.holes[k].X - seat.q.X,
			Radius: pinClearance(pin.Pressed, float64(pin.Diameter), ha.d, hb.d) / 2, Mark: k,
		}
		if pin.Locates.Given {
			n := dense.Length(pin.Locates.Value.X, pin.Locates.Value.Y)
			f.Slab, f.NX, f.NY = true, pin.Locates.Value.X/n, pin.Locates.Value.Y/n
		} else {
			full++
		}
		s.Constraints = append(s.Constraints, f)
	}
	if !seat.pilot && full < 2 && j.BoltClearance.Given {
		s.Turns = true
		for _, b := range j.Bolts {
			x, y := float64(b.X)-seat.q.X, float64(b.Y)-seat.q.Y
			s.Constraints = append(s.Constraints, floatset.Constraint{QX: -y, QY: x, Radius: float64(j.BoltClearance.Value) / 2, Mark: boltFence})
		}
	}
	s.Measure()
	s.Aim(seat.pilot)
}

// pinClearance is the diametral clearance of a pin of diameter d in the hole or holes that it is
// not pressed in.
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
