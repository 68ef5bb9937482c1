package align_test

import (
	"math"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// A component of an offset or a tilt ranges over the float like its size.
//
// Source: hand calculation: a pilot with 0.1 mm of diametral clearance lets the rear part lie 0.05 mm
// either way of its middle; a dowel 60 mm up, with 0.06 mm of clearance, lets it turn. A shift leaves
// a slope alone.
func TestRange_components(t *testing.T) {
	s := align.Stack{
		Parts: []align.Part{
			{Name: "front", Rear: &align.Face{Z: 100, Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 100.1}}, Bores: []align.Bore{{Name: "x", Centre: align.Vec3{X: 0.01, Y: -0.02, Z: 40}}}},
			{Name: "rear", Front: &align.Face{Pilot: &align.Pilot{Diameter: 100}}, Bores: []align.Bore{{Name: "y", Centre: align.Vec3{X: 0.03, Z: 50}, Slope: align.Slope{X: 1e-3}}}},
		},
		Joints:     []align.Joint{{}},
		References: []align.Reference{{Name: "axis", Axis: "front/x"}},
	}
	for _, c := range []struct {
		what            align.Quantity
		rest, low, high float64
	}{
		{align.OffsetX, 0.02, -0.03, 0.07},
		{align.OffsetY, 0.02, -0.03, 0.07},
		{align.TiltX, 1e-3, 1e-3, 1e-3},
		{align.TiltY, 0, 0, 0},
	} {
		list, _, err := s.Ranges([]align.Output{{What: c.what, Of: "rear/y"}})
		if err != nil {
			t.Fatal(err)
		}
		r := list[0]
		for i, v := range [3]tolerance.Optional[float64]{r.Rest, r.Low, r.High} {
			if want := [3]float64{c.rest, c.low, c.high}[i]; !v.Given || math.Abs(v.Value-want) > 1e-9 {
				t.Errorf("quantity %d, number %d: %v, want %v", c.what, i, v.Value, want)
			}
		}
	}
	// With a dowel the part turns about it: the offset sideways is what the lever from the dowel makes
	// of it, brute force over measured floats beside it.
	s.Parts[0].Rear.Dowels = []align.Dowel{{Name: "d", Centre: align.Vec2{Y: 60}, Diameter: 8.06}}
	s.Parts[1].Front.Dowels = []align.Dowel{{Name: "d", Centre: align.Vec2{Y: 60}, Diameter: 8}}
	s.Parts[1].Bores[0].Centre.Y, s.Parts[1].Bores[0].Slope.Y = -45, 5e-4
	s.Joints[0].Pins = []align.Pin{{Dowel: "d", Diameter: 8, Pressed: align.PressedRear}}
	out := []align.Output{{What: align.OffsetX, Of: "rear/y"}, {What: align.OffsetY, Of: "rear/y"}, {What: align.TiltX, Of: "rear/y"}, {What: align.TiltY, Of: "rear/y"}}
	list, _, err := s.Ranges(out)
	if err != nil {
		t.Fatal(err)
	}
	low, high := [4]float64{}, [4]float64{}
	for i := range out {
		low[i], high[i] = math.Inf(1), math.Inf(-1)
	}
	const steps = 60
	for k := range steps {
		for n := range steps { // of the pilot's rim, and of the dowel's
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / steps)
			pin, _ := math.Sincos(2 * math.Pi * float64(n) / steps)
			x, y := 0.05*sin, 0.05*cos
			if math.Abs(y) > 0.03 { // the dowel is beside its hole
				continue
			}
			turn := (x - math.Copysign(math.Sqrt(0.03*0.03-y*y), pin)*math.Abs(pin)) / 60
			f := align.Float{X: tolerance.Length(x), Y: tolerance.Length(y), Turn: tolerance.Angle(-turn)}
			s.Joints[0].Float = &f
			at, _, err := s.Ranges(out)
			if err != nil {
				continue
			}
			for i := range out {
				low[i], high[i] = math.Min(low[i], at[i].Rest.Value), math.Max(high[i], at[i].Rest.Value)
			}
		}
	}
	for i, r := range list {
		const grid = 2e-3
		if size := r.High.Value - r.Low.Value; r.Low.Value > low[i]+1e-9 || r.High.Value < high[i]-1e-9 || low[i]-r.Low.Value > grid || r.High.Value-high[i] > grid || !(size > 0) {
			t.Errorf("output %d: from %v to %v, tried %v to %v", i, r.Low.Value, r.High.Value, low[i], high[i])
		}
	}
}
