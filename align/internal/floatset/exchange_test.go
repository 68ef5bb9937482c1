package floatset

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/align/internal/dense"
)

// Seen in a frame turned about z, a float rests where it rested: to rounding, not to what a program
// leaves.
//
// Source: a second method: the same float in another frame, where the program errs another way.
func TestFloatSet_restsInAnyFrame(t *testing.T) {
	rng := rand.New(rand.NewPCG(61, 5))
	tried := 0
	for trial := range 4500 {
		s := randomTwo(rng)
		if rng.IntN(3) == 0 { // with a flatted pin
			s.Constraints[len(s.Constraints)-1].Slab, s.Constraints[len(s.Constraints)-1].NY = true, 1
			s.Constraints = append(s.Constraints, disc(0, 0, 90, 20, 0.03, 2))
			s.Measure()
			s.Aim(true)
		}
		sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
		turn := func(x, y *float64) { *x, *y = cos**x-sin**y, sin**x+cos**y }
		o := &Set{Turns: s.Turns, CharLength: s.CharLength, Target: s.Target}
		turn(&o.Target.X, &o.Target.Y)
		for _, f := range s.Constraints {
			turn(&f.PX, &f.PY)
			turn(&f.QX, &f.QY)
			turn(&f.NX, &f.NY)
			o.Constraints = append(o.Constraints, f)
		}
		for _, q := range []*Set{s, o} {
			if err := q.Prepare(); err != nil {
				t.Fatal(trial, err)
			}
		}
		if s.Lack > 0 || s.Dim < 3 || s.Inside(s.Target) {
			continue
		}
		tried++
		a, err := s.Nearest()
		if err != nil {
			t.Fatal(trial, err)
		}
		b, err := o.Nearest()
		if err != nil {
			t.Fatal(trial, err)
		}
		turn(&a.X, &a.Y)
		d := s.Scaled(Vec{a.X - b.X, a.Y - b.Y, a.G - b.G})
		if off := dense.Length3(d[0], d[1], d[2]); off > 1e-10 {
			t.Errorf("trial %d: rests at %v, in a turned frame at %v (%g)", trial, a, b, off)
		}
	}
	if tried < 200 {
		t.Errorf("only %d floats rested against a constraint", tried)
	}
}

// The nearest point is proved by exchanged constraints alone, however small one of them is beside the
// way to it, and is no farther than the cone program's.
//
// Source: a second method.
func TestSet_nearestAgainstCones(t *testing.T) {
	rng := rand.New(rand.NewPCG(61, 9))
	tried := 0
	for trial := range 5000 {
		s := randomTwo(rng)
		if trial%2 == 0 {
			s = randomSet(rng)
		}
		if n := len(s.Constraints); trial%3 == 0 && n > 0 {
			s.Constraints[n-1].Radius *= 1e-3
		}
		if err := s.Prepare(); err != nil {
			t.Fatal(trial, err)
		}
		w := aim{t: s.inSpan(s.Scaled(s.Target))}
		if s.Dim < 2 || s.Inside(s.AtSpan(w.t)) {
			continue
		}
		tried++
		at, ok := s.best(&w, w.t, nil)
		if !ok {
			t.Errorf("trial %d: nothing is proved for %+v", trial, s.Constraints)
			continue
		}
		v, err := s.byCones(&w)
		if err != nil {
			t.Fatal(trial, err)
		}
		off := func(a [3]float64) float64 { return dense.Length3(a[0]-w.t[0], a[1]-w.t[1], a[2]-w.t[2]) }
		if got, want := off(at), off(s.inSpan(s.Scaled(v))); got > want+1e-8 || s.slack(s.AtSpan(at)) < -1e-11 {
			t.Errorf("trial %d: %v off and %v inside, by cones %v off", trial, got, s.slack(s.AtSpan(at)), want)
		}
	}
	if tried < 300 {
		t.Errorf("only %d were held by a constraint", tried)
	}
}
