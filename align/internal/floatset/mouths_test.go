package floatset

import (
	"math"
	"testing"
)

// A pilot whose mouths lie apart by rounding alone reaches as far in every direction as one that
// does not lean, by itself and beside a pin: two discs 1e-19 apart are no lens whose corners lie
// anywhere.
//
// Source: geometry: the farthest point of a disc is its radius away, whatever the direction.
func TestSet_mouthsApartByRounding(t *testing.T) {
	const c = 0.04
	for _, lean := range []float64{1e-320, 1e-20, 1e-18, 1e-15, 1e-13, 1e-12} {
		for _, pin := range []bool{false, true} {
			for n := range 100 {
				ly, lx := math.Sincos(float64(3 * n))
				s := &Set{Turns: pin, Constraints: []Constraint{
					{Radius: c / 2, Mark: OfShift},
					{PX: lean * lx, PY: lean * ly, Radius: c / 2, Mark: OfShift},
				}}
				if pin { // roomy enough not to matter
					s.Constraints = append(s.Constraints, Constraint{QX: 80, QY: 30, Radius: 0.2, Mark: 1})
				}
				s.Measure()
				if err := s.Prepare(); err != nil {
					t.Fatal(err)
				}
				uy, ux := math.Sincos(float64(n))
				v, err := s.Farthest(Vec{X: ux, Y: uy})
				if err != nil {
					t.Fatal(err)
				}
				if far := ux*v.X + uy*v.Y; math.Abs(far-c/2) > 1e-11 {
					t.Fatalf("mouths %v apart, pin %v: pushed %v along %v, want %v", lean, pin, far, n, c/2)
				}
			}
		}
	}
}
