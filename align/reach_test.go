package align_test

import (
	"errors"
	"math"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// A tail on a pilot of 0.04 clearance: its bore reaches a disc about where it rests, from a
// reference that leans; the result says where that line and the faces lie.
//
// Source: hand calculation: the reference passes through (0.03, 0) at z = -100 and (-0.03, 0) at
// z = 50, so that it is at (0.03 - 0.06·2, 0) = (-0.09, 0) at z = 200, where the tail's bore stands
// at (0, 0); the pilot's radial clearance is 0.02; a part turned end for end looks forward with its
// rear face.
func TestAssembly_Reach(t *testing.T) {
	s := align.Stack{
		Parts: []align.Part{
			{
				Name: "case", Rear: &align.Face{Z: 100, Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 150}},
				Bores: []align.Bore{{Name: "front", Centre: align.Vec3{X: 0.03, Z: -100}}, {Name: "rear", Centre: align.Vec3{X: -0.03, Z: 50}}},
			},
			{
				Name: "tail", Turned: true, Rear: &align.Face{Z: 7, Pilot: &align.Pilot{Diameter: 149.96}},
				Bores: []align.Bore{{Name: "bush", Centre: align.Vec3{Z: -93}}},
			},
		},
		Joints: []align.Joint{{}},
		Shafts: []align.Shaft{{Name: "main", Supports: []align.Support{{Bore: "case/front", Clearance: 0.2}, {Bore: "case/rear", Clearance: 0.2}, {Bore: "tail/bush", Clearance: 0.2}}}},
	}
	a, err := s.Solve()
	if err != nil {
		t.Fatal(err)
	}
	const near = 1e-9
	if r := a.Reference; math.Abs(float64(r.AtZero.X)+0.01) > near || math.Abs(r.Slope.X+0.0004) > near || r.Slope.Y != 0 {
		t.Errorf("the reference is %+v", r)
	}
	if f := a.Placed[1].Faces; !f[0].Given || f[1].Given || math.Abs(float64(f[0].Value)-100) > near {
		t.Errorf("the tail's faces are at %v", f)
	}
	region, err := a.Reach("tail/bush", 8)
	if err != nil || len(region) != 8 {
		t.Fatal(region, err)
	}
	for i, v := range region {
		sin, cos := math.Sincos(float64(i) * math.Pi / 4)
		if math.Abs(float64(v.X)-0.09-0.02*sin) > 1e-6 || math.Abs(float64(v.Y)-0.02*cos) > 1e-6 {
			t.Errorf("corner %d is at %v", i, v)
		}
	}
	if region, err := a.Reach("case/front", 8); region != nil || err != nil {
		t.Errorf("nothing moves it, and it reaches %v, %v", region, err)
	}
	var f *fault.FieldError
	if _, err := a.Reach("tail/bus", 8); !errors.As(err, &f) || !errors.Is(err, fault.ErrUnknownName) {
		t.Error(err)
	}
	s.Joints[0].Float = &align.Float{X: 0.01}
	if a, err = s.Solve(); err != nil {
		t.Fatal(err)
	}
	if region, err := a.Reach("tail/bush", 8); region != nil || err != nil {
		t.Errorf("its float is measured, and it reaches %v, %v", region, err)
	}
	r := align.Readings{Values: [][]tolerance.Length{{1}, nil, {2, 4}}, First: 90 * tolerance.Degree, FromNose: true}
	if theta, value := r.Stations(); len(theta) != 2 || math.Abs(theta[1]+math.Pi/2+4*math.Pi/3) > 1e-12 || value[1] != 3 {
		t.Errorf("stations %v %v", theta, value)
	}
}
