package align_test

import (
	"math"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// Sizes and clock positions of vectors and slopes: clockwise from 12 o'clock, nothing for nothing.
//
// Source: hand calculation: 3-4-5; 3 o'clock is +x, 6 o'clock −y, 9 o'clock −x.
func TestVec2_sizeAndClock(t *testing.T) {
	for _, c := range []struct{ x, y, size, degrees float64 }{
		{0, 0, 0, 0}, {0, 2, 2, 0}, {3, 0, 3, 90}, {0, -1, 1, 180}, {-4, 0, 4, 270}, {3, -4, 5, 180 - math.Atan(0.75)*180/math.Pi},
	} {
		v, s := align.Vec2{X: tolerance.Length(c.x), Y: tolerance.Length(c.y)}, align.Slope{X: c.x, Y: c.y}
		for what, got := range map[string][2]float64{
			"vector": {float64(v.Size()), v.Clock().Degrees()}, "slope": {s.Size(), s.Clock().Degrees()},
		} {
			if math.Abs(got[0]-c.size) > 1e-15 || math.Abs(got[1]-c.degrees) > 1e-12 {
				t.Errorf("%s (%v, %v): size %v at %v°, want %v at %v°", what, c.x, c.y, got[0], got[1], c.size, c.degrees)
			}
		}
	}
}
