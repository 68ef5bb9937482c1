package align_test

import (
	"errors"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Stations whose hours were written as degrees are refused where they are; a short arc that may be meant is not.
//
// Source: common practice, no published source: a round is four to twelve stations that go round.
func TestValidate_hoursAsDegrees(t *testing.T) {
	round := func(degrees ...float64) error {
		r := align.Readings{}
		for i, d := range degrees {
			r.At = append(r.At, tolerance.Angle(d)*tolerance.Degree)
			r.Values = append(r.Values, []tolerance.Length{tolerance.Length(10 + 0.01*float64(i))})
		}
		s := align.Stack{Parts: []align.Part{{
			Name: "plate", Front: &align.Face{}, Rear: &align.Face{Thickness: &align.Thickness{Radius: 90, Readings: r}},
		}}}
		return s.Validate()
	}
	for _, hours := range [][]float64{{12, 3, 6, 9}, {3, 6, 9, 0}, {1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12}, {10.5, 12, 1.5, 3}, {355, 359, 3, 5}} {
		err := round(hours...)
		var f *fault.FieldError
		if !errors.Is(err, fault.ErrOutOfRange) || !errors.As(err, &f) || f.Path != "/parts/0/rear/thickness/at" {
			t.Errorf("%v: %v", hours, err)
		}
	}
	for _, meant := range [][]float64{{0, 90, 180, 270}, {0, 6, 12.1}, {350, 0, 4}, {12, 3, 180}} {
		if err := round(meant...); err != nil {
			t.Errorf("%v: %v", meant, err)
		}
	}
}

// An angle counts radians: degrees typed without their unit are refused, where they come to more than ten turns.
//
// Source: hand calculation: ten turns are 62.83 radians.
func TestValidate_degreesAsRadians(t *testing.T) {
	values := [][]tolerance.Length{{10}, {10.1}, {10.2}, {10.1}}
	for _, c := range []struct {
		at    []tolerance.Angle
		first tolerance.Angle
		clock tolerance.Angle
		path  string // empty: taken
	}{
		{at: []tolerance.Angle{0, 90, 180, 270}, path: "/parts/0/rear/thickness/at/1"},
		{first: 90, path: "/parts/0/rear/thickness/first"},
		{clock: -63, path: "/joints/0/clock"},
		{first: 3600 * tolerance.Degree, clock: -3600 * tolerance.Degree}, // as much as a record may say
		{at: []tolerance.Angle{0, 90 * tolerance.Degree, 180 * tolerance.Degree, 270 * tolerance.Degree}},
	} {
		s := align.Stack{
			Parts: []align.Part{
				{Name: "plate", Front: &align.Face{}, Rear: &align.Face{Thickness: &align.Thickness{Radius: 90, Readings: align.Readings{Values: values, At: c.at, First: c.first}}, Pilot: &align.Pilot{Diameter: 100}}},
				{Name: "tail", Front: &align.Face{Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 100}}},
			},
			Joints: []align.Joint{{Clock: c.clock}},
		}
		err := s.Validate()
		var f *fault.FieldError
		if c.path == "" && err != nil {
			t.Errorf("%v: %v", c, err)
		} else if c.path != "" && (!errors.Is(err, fault.ErrOutOfRange) || !errors.As(err, &f) || f.Path != c.path) {
			t.Errorf("%v: %v", c, err)
		}
	}
}
