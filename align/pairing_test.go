package align_test

import (
	"errors"
	"math"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	. "example.com/borestack/tolerance"
)

// A station of the rear face may not go without a partner because another has two.
//
// Source: hand calculation: on a ring of 90 mm, 0.5° are 0.8 mm, within 1 % of its diameter.
func TestJoint_stationWithoutPartner(t *testing.T) {
	box := func(front, rear []float64) align.Stack {
		s := pair(150.06, 150)
		s.Joints[0].SeatOnPoints, s.Parts[0].Rear.Z = true, 0
		for k := range front {
			a, b := front[k]*math.Pi/180, rear[k]*math.Pi/180
			s.Parts[0].Rear.Points = append(s.Parts[0].Rear.Points, align.Vec3{X: Length(90 * math.Sin(a)), Y: Length(90 * math.Cos(a)), Z: 100})
			s.Parts[1].Front.Points = append(s.Parts[1].Front.Points, align.Vec3{X: Length(90 * math.Sin(b)), Y: Length(90 * math.Cos(b))})
		}
		return s
	}
	if err := box([]float64{0, 90.5, 180, 270}, []float64{90, 0.5, 270, 180}).Validate(); err != nil {
		t.Error("stations that pair one to one:", err)
	}
	if err := box([]float64{0, 0.5, 120, 240}, []float64{0, 120, 240, 300}).Validate(); !errors.Is(err, fault.ErrConflict) {
		t.Errorf("the rear face's station at 300° has no partner: %v", err)
	}
}
