package advise

import (
	"math"

	"example.com/borestack/tolerance"
)

// FloatingFastener is the positional zone (diameter) that each of two parts may have whose clearance holes, at their smallest, are to pass a bolt at its largest: T = H - F. Negative: the bolt does not go through.
//
// Source: ASME Y14.5-2009, appendix B, B.3 (formula; from memory).
func FloatingFastener(hole, fastener tolerance.Length) tolerance.Length { return hole - fastener }

// FixedFastener is the sum of the positional zones (diameters) of a clearance hole and a tapped hole or stud: T1 + T2 = H - F; shared equally each has half. It holds when the tapped hole's zone is projected, or the stud does not lean.
//
// Source: ASME Y14.5-2009, appendix B, B.4 (formula; from memory).
func FixedFastener(hole, fastener tolerance.Length) (sum, each tolerance.Length) {
	return hole - fastener, (hole - fastener) / 2
}

// Position is the diameter of the least positional zone that holds a centre (dx, dy) from true: twice its distance.
//
// Source: ISO 1101:2017, 17.12 (definition: the zone is a cylinder about the true position).
func Position(dx, dy tolerance.Length) tolerance.Length {
	return 2 * tolerance.Length(math.Hypot(float64(dx), float64(dy)))
}

// MaximumMaterial is a positional or form zone that grows as its feature leaves maximum material size. The zero value allows nothing.
type MaximumMaterial struct {
	Hole bool             // internal feature: maximum material is its smallest size
	Size tolerance.Length // maximum material size
	Zone tolerance.Length // at that size
	Span tolerance.Length // how far the size may be from it: the size tolerance
}

// Virtual is the size of the gauge that a feature must clear: of a hole its maximum material size less the zone, of a pin that plus the zone.
//
// Source: ISO 2692:2014, 3.13 (maximum material virtual condition; from memory).
func (m MaximumMaterial) Virtual() tolerance.Length {
	if m.Hole {
		return m.Size - m.Zone
	}
	return m.Size + m.Zone
}

// Allowed is the zone at an actual size: the stated one plus what the size has left maximum material by, at most its tolerance. The gain is clearance, not accuracy: count it as float.
//
// Source: ISO 2692:2014, 4.2.1; ASME Y14.5-2009, 2.8.3 (from memory).
func (m MaximumMaterial) Allowed(actual tolerance.Length) tolerance.Length {
	left := m.Size - actual
	if m.Hole {
		left = -left
	}
	return m.Zone + max(0, min(left, m.Span))
}

// Resultant is the boundary on the other side: of a hole its largest size plus the zone it then has, of a pin its smallest less that.
//
// Source: ASME Y14.5-2009, 1.3.49 (resultant condition; from memory).
func (m MaximumMaterial) Resultant() tolerance.Length {
	if m.Hole {
		return m.Size + m.Span + m.Allowed(m.Size+m.Span)
	}
	return m.Size - m.Span - m.Allowed(m.Size-m.Span)
}
