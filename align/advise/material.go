package advise

import "example.com/borestack/tolerance"

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
