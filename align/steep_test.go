package align_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// A face whose readings or points make a plane steeper than a slope may be stated is refused at them: nothing solves such a
// box, and a radius typed as nothing makes one.
//
// Source: hand calculation: readings of ±d at 3 and 9 o'clock and radius r, none at 12 and 6, are a slope of d/r.
func TestStack_Validate_steepFaces(t *testing.T) {
	box := func(d, r tolerance.Length) align.Stack {
		return align.Stack{Parts: []align.Part{{Name: "plate", Front: &align.Face{}, Rear: &align.Face{Thickness: &align.Thickness{
			Radius: r, Readings: align.Readings{Values: [][]tolerance.Length{{200}, {200 + d}, {200}, {200 - d}}},
		}}}}}
	}
	points := align.Stack{Parts: []align.Part{{Name: "plate", Rear: &align.Face{Points: []align.Vec3{{X: 0, Y: 0, Z: 0}, {X: 1, Y: 0, Z: 11}, {X: 0, Y: 1, Z: 0}, {X: 1, Y: 1, Z: 11}}}}}}
	for _, c := range []struct {
		name, at string
		s        align.Stack
	}{
		{"just no steeper", "", box(99.99, 10)},
		{"just steeper", "/parts/0/rear/thickness/readings", box(100.01, 10)},
		{"no radius to speak of", "/parts/0/rear/thickness/readings", box(1e-3, 1e-30)},
		{"points", "/parts/0/rear/points", points},
	} {
		err := c.s.Validate()
		if c.at == "" {
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
			continue
		}
		var f *fault.FieldError
		if !errors.As(err, &f) || f.Path != c.at || !errors.Is(err, fault.ErrOutOfRange) || !strings.Contains(f.Want, "at most 10 times") {
			t.Errorf("%s: %v, want a fault at %s", c.name, err, c.at)
		}
	}
	// A stated slope of 10 stands, one above does not.
	for slope, ok := range map[float64]bool{10: true, math.Nextafter(10, 11): false} {
		s := align.Stack{Parts: []align.Part{{Name: "plate", Rear: &align.Face{Slope: align.Slope{X: slope}}}}}
		if err := s.Validate(); (err == nil) != ok {
			t.Errorf("slope %v: %v", slope, err)
		}
	}
}
