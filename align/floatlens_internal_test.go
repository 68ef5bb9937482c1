package align

import (
	"math"
	"testing"
)

// A pilot whose mouths lie apart by rounding alone reaches as far in every direction as one that does not lean, by itself and beside a pin. Two discs 1e-19 apart were a lens whose corners lie anywhere: a joint that could be pushed 0.02 either way was said to go 0.012.
//
// Source: geometry: the farthest point of a disc is its radius away, whatever the direction.
func TestFloatSet_mouthsApartByRounding(t *testing.T) {
	const c = 0.04
	for _, lean := range []float64{0, 1e-320, 1e-20, 1e-18, 1e-15, 1e-13, 1e-12} {
		for _, pin := range []bool{false, true} {
			for n := range 100 {
				var s floatSet
				s.begin(pin)
				ly, lx := math.Sincos(float64(3 * n))
				s.register(c, lean*lx, lean*ly, false)
				if pin { // roomy enough not to matter
					s.fences = append(s.fences, fence{qx: 80, qy: 30, room: 0.2, pin: 1})
				}
				s.measure()
				s.aim(true)
				if err := s.prepare(); err != nil {
					t.Fatal(err)
				}
				uy, ux := math.Sincos(float64(n))
				v, err := s.farthest(float3{x: ux, y: uy})
				if err != nil {
					t.Fatal(err)
				}
				if far := ux*v.x + uy*v.y; math.Abs(far-c/2) > 1e-11 {
					t.Fatalf("mouths %v apart, pin %v: pushed %v along %v, want %v", lean, pin, far, n, c/2)
				}
			}
		}
	}
}
