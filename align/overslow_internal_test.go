package align

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/floatset"
)

// No float shows a size beyond its ends: the farthest floats in every direction, and floats drawn
// at random, worked out in full, over joints of every kind that may lie anywhere.
func TestOver_sizesAgainstSampling(t *testing.T) {
	rng := rand.New(rand.NewPCG(79, 10))
	checked := 0
	for trial := range 60 {
		s := plainStack(rng)
		for i := range s.Joints {
			s.Joints[i].Lies, s.Joints[i].Float = LiesAny, nil
		}
		if s.Validate() != nil {
			continue
		}
		k := newKernel(s, newLayout(&s))
		if err := k.solve(); err != nil {
			t.Fatal(trial, err)
		}
		o := k.newOver()
		if len(o.loose) == 0 {
			continue
		}
		last := s.Parts[len(s.Parts)-1].Name
		out := []Output{{What: OffsetSize, Of: last + "/a", From: "best"}, {What: TIRSize, Of: last + "/c"}, {What: TiltSize, Of: last + "/a", From: "axis"}}[trial%3]
		r, err := k.resolve(out)
		if err != nil {
			t.Fatal(err)
		}
		lo, hi, err := k.ends(o, &r, lowEnd|highEnd)
		if err != nil {
			t.Fatal(err)
		}
		checked++
		var v [2]float64
		value := func(dst []float64) { k.vector(&r, dst) }
		floats := make([]floatset.Vec, len(k.seats))
		look := func(what string) {
			k.placeAt(floats)
			value(v[:])
			if size := dense.Length(v[0], v[1]); size > hi+1e-9 || size < lo-1e-9 {
				t.Errorf("trial %d, %v: %s shows %.12g, outside [%.12g, %.12g]", trial, out, what, size, lo, hi)
			}
		}
		const steps = 360
		for n := range steps {
			o.rest(floats)
			o.linearise(floats, 2, value)
			sin, cos := math.Sincos(2 * math.Pi * float64(n) / steps)
			if _, err := o.push(floats, []float64{sin, cos}); err != nil {
				t.Fatal(err)
			}
			look("the farthest float in a direction")
		}
		for range 100 {
			o.rest(floats)
			for _, l := range o.loose {
				if v, err := l.set.Uniform(floatset.Numbers{rng.Float64(), -1, -1}); err == nil {
					floats[l.joint] = v
				}
			}
			look("a random float")
		}
	}
	if checked < 40 {
		t.Errorf("only %d stacks floated", checked)
	}
}
