package align

import (
	"math"
	"testing"

	"example.com/borestack/tolerance"
)

// Bearing spans that are equal but for the rounding of poses are equal: the first-named axis carries the plane.
func TestMesh_equalSpansButForRounding(t *testing.T) {
	const span = 200.0
	for _, other := range []float64{span, math.Nextafter(span, 300), span * (1 + 1e-15), span * (1 + 1e-13), span * (1 - 1e-15)} {
		at := func(name string, y, z float64) Bore {
			return Bore{Name: name, Centre: Vec3{Y: tolerance.Length(y), Z: tolerance.Length(z)}}
		}
		s := Stack{
			Parts:  []Part{{Name: "case", Bores: []Bore{at("a", 0, 0), at("b", 0, span), at("c", -90, 0), at("d", -90, other)}}},
			Meshes: []Mesh{{Name: "pair", Axes: [2][2]string{{"case/a", "case/b"}, {"case/c", "case/d"}}, Z: 50, FaceWidth: 25}},
		}
		k := newKernel(s, newLayout(&s))
		if err := k.solve(); err != nil {
			t.Fatal(err)
		}
		g, err := k.mesh(0)
		if err != nil {
			t.Fatal(err)
		}
		if g.swapped {
			t.Errorf("spans %v and %v: the second-named axis carries the plane", span, other)
		}
	}
}
