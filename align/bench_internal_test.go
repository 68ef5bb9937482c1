package align

import (
	"math"
	"testing"

	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/align/internal/shaftline"
)

// Best margin over the float of three joints: lines and floats together, twice linearised.
func BenchmarkOver_best(b *testing.B) {
	s := bedWithJoints()
	k := newKernel(s, newLayout(&s))
	if err := k.solve(); err != nil {
		b.Fatal(err)
	}
	o := k.newOver()
	floats := make([]floatset.Vec, len(k.seats))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := o.best(shaftline.ByMargin, math.Inf(1), floats); err != nil {
			b.Fatal(err)
		}
	}
}

func bedWithJoints() Stack {
	s := Stack{}
	for i, name := range []string{"a", "b", "c", "d"} {
		p := Part{Name: name, Bores: []Bore{{Name: "x", Centre: Vec3{X: 0.01, Y: -0.01, Z: 40}}}}
		if i > 0 {
			p.Front = &Face{Slope: Slope{X: 1e-4}, Pilot: &Pilot{Diameter: 150}, Dowels: []Dowel{{Name: "p", Centre: Vec2{X: 60, Y: 50.01}, Diameter: 8.03}}}
		}
		if i < 3 {
			p.Rear = &Face{Z: 100, Pilot: &Pilot{Kind: PilotBore, Diameter: 150.05}, Dowels: []Dowel{{Name: "p", Centre: Vec2{X: 60, Y: 50}, Diameter: 8}}}
			s.Joints = append(s.Joints, Joint{Pins: []Pin{{Dowel: "p", Diameter: 8}}})
		}
		s.Parts = append(s.Parts, p)
	}
	s.Shafts = []Shaft{{Name: "m", Supports: []Support{
		{Bore: "a/x", Clearance: 0.03}, {Bore: "b/x", Clearance: 0.1}, {Bore: "c/x", Clearance: 0.03}, {Bore: "d/x", Clearance: 0.08},
	}}}
	return s
}
