package align

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// Seen in a frame turned about z, a float rests where it rested: to rounding, not to what a program leaves.
//
// Source: a second method: the same float in another frame, where the program errs another way.
func TestFloatSet_restsInAnyFrame(t *testing.T) {
	rng := rand.New(rand.NewPCG(61, 5))
	tried := 0
	for trial := range 4500 {
		s := randomTwo(rng)
		if rng.IntN(3) == 0 { // with a flatted pin
			s.fences[len(s.fences)-1].slab, s.fences[len(s.fences)-1].ny = true, 1
			s.fences = append(s.fences, disc(0, 0, 90, 20, 0.03, 2))
			s.measure()
			s.aim(true)
		}
		sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
		turn := func(x, y *float64) { *x, *y = cos**x-sin**y, sin**x+cos**y }
		o := &floatSet{turns: s.turns, lever: s.lever, target: s.target}
		turn(&o.target.x, &o.target.y)
		for _, f := range s.fences {
			turn(&f.px, &f.py)
			turn(&f.qx, &f.qy)
			turn(&f.nx, &f.ny)
			o.fences = append(o.fences, f)
		}
		for _, q := range []*floatSet{s, o} {
			if err := q.prepare(); err != nil {
				t.Fatal(trial, err)
			}
		}
		if s.lack > 0 || s.dim < 3 || s.inside(s.target) {
			continue
		}
		tried++
		a, err := s.nearest()
		if err != nil {
			t.Fatal(trial, err)
		}
		b, err := o.nearest()
		if err != nil {
			t.Fatal(trial, err)
		}
		turn(&a.x, &a.y)
		d := s.scaled(float3{a.x - b.x, a.y - b.y, a.g - b.g})
		if off := size3(r3.Vec{X: d[0], Y: d[1], Z: d[2]}); off > 1e-10 {
			t.Errorf("trial %d: rests at %v, in a turned frame at %v (%g)", trial, a, b, off)
		}
	}
	if tried < 200 {
		t.Errorf("only %d floats rested against a fence", tried)
	}
}
