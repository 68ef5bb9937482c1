package teach

import (
	"math"

	"example.com/borestack/examples/lesson/internal/box"
	"example.com/borestack/tolerance"
)

// speaker says lengths in one unit.
type speaker struct{ unit tolerance.Unit }

// exact says a length as it is.
func (s speaker) exact(l tolerance.Length) string { return box.Say(l, s.unit) }

// about says a length of the millimetre lesson as the inch lesson would put it, to half a thousandth.
func (s speaker) about(l tolerance.Length) string {
	if s.unit == tolerance.Inches {
		l = tolerance.Length(math.Round(l.Thous()*2)/2) * tolerance.Thou
	}
	return s.exact(l)
}

// long says a length of the box itself: to the millimetre, or to a hundredth of an inch.
func (s speaker) long(l tolerance.Length) string {
	if s.unit == tolerance.Inches {
		return plain(math.Round(l.Inches()*100)/100) + " in"
	}
	return plain(math.Round(l.Millimetres())) + " mm"
}
