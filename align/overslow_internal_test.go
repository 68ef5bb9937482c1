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
		lo, hi, err := o.ends(&r, lowEnd|highEnd)
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
			if _, err := o.pushed(floats, []float64{sin, cos}); err != nil {
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

// linearise works out value (n numbers) and its derivatives by every loose joint's (fx, fy, γ),
// about the floats at.
func (o *over) linearise(at []floatset.Vec, n int, value func(dst []float64)) {
	o.circles = false
	copy(o.from, at)
	w := 3 * len(o.loose)
	o.deriv, o.values = dense.Resize(o.deriv, n*w), dense.Resize(o.values, n)
	plus, minus := make([]float64, n), make([]float64, n)
	for l, j := range o.loose {
		for c := range 3 {
			h := shiftStep
			if c == 2 {
				h = turnStep
			}
			o.probeAt(at, j.joint, c, h)
			value(plus)
			o.probeAt(at, j.joint, c, -h)
			value(minus)
			for i := range n {
				o.deriv[i*w+3*l+c] = (plus[i] - minus[i]) / (2 * h)
			}
		}
	}
	o.put(at)
	value(o.values)
}

// probeAt places the joints at floats with one component moved.
func (o *over) probeAt(floats []floatset.Vec, joint, component int, by float64) {
	copy(o.probe, floats)
	v := &o.probe[joint]
	switch component {
	case 0:
		v.X += by
	case 1:
		v.Y += by
	default:
		v.G += by
	}
	o.k.placeAt(o.probe)
	o.aside = false
}

// pushed sets dst to the floats farthest along the gradient Σ_i weight_i · d value_i, and returns how
// far that raises Σ weight_i value_i.
func (o *over) pushed(dst []floatset.Vec, weight []float64) (float64, error) {
	copy(dst, o.from)
	w := 3 * len(o.loose)
	var rise float64
	for l, j := range o.loose {
		var g floatset.Vec
		for i, a := range weight {
			d := o.deriv[i*w+3*l:]
			g.X += a * d[0]
			g.Y += a * d[1]
			g.G += a * d[2]
		}
		v, err := j.set.Farthest(g)
		if err != nil {
			return 0, err
		}
		at := o.from[j.joint]
		rise += g.X*(v.X-at.X) + g.Y*(v.Y-at.Y) + g.G*(v.G-at.G)
		dst[j.joint] = v
	}
	return rise, nil
}
