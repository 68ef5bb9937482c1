package align

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/align/internal/shaftline"
	"example.com/borestack/tolerance"
)

// scattered is the bed with its bores off by up to 0.05 mm, and a shaft in the last three of them.
func scattered(r *rand.Rand) Stack {
	s := bedWithJoints()
	for i := range s.Parts {
		c := &s.Parts[i].Bores[0].Centre
		c.X, c.Y = tolerance.Length(0.1*r.Float64()-0.05), tolerance.Length(0.1*r.Float64()-0.05)
	}
	s.Shafts[0].Supports = s.Shafts[0].Supports[1:]
	return s
}

// The push found among the floats alone is the one of the program in lines and floats together.
//
// Source: a second method.
func TestOver_pushByCircuits(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	taken := 0
	for n := range 60 {
		s := scattered(r)
		k := newKernel(s, newLayout(&s))
		if err := k.solve(); err != nil {
			t.Fatal(err)
		}
		o := k.newOver()
		best := make([]floatset.Vec, len(k.seats))
		rest, err := o.lineAtRest(shaftline.ByMargin)
		if err != nil {
			t.Fatal(err)
		}
		least, err := o.best(shaftline.ByMargin, rest, best)
		if err != nil {
			t.Fatal(err)
		}
		few := slices.Clone(best)
		if ok, err := o.pushByCircuits(least+pushSlack, few); err != nil || !ok {
			continue
		}
		taken++
		o.followCircles(best)
		p, f := o.lineProgram(shaftline.ByMargin, true, least+pushSlack)
		q, width := p.Quadratic(), f.N+o.floatVariables()+1
		for i := range f.N {
			q[i*width+i] = 1e-9
		}
		both := slices.Clone(best)
		if err := o.solvePush(p, f.N, f.Unit, both); err != nil {
			t.Fatal(err)
		}
		for i := range few {
			arm := k.seats[i].set.CharLength
			if d := dense.Length(few[i].X-both[i].X, few[i].Y-both[i].Y) + arm*math.Abs(few[i].G-both[i].G); d > 2e-6 {
				t.Errorf("box %d, joint %d: %v apart, %+v and %+v", n, i, d, few[i], both[i])
			}
		}
	}
	if taken < 50 {
		t.Errorf("only %d of 60 by the circuits", taken)
	}
}

// Floats at which a vector is nothing are within their sets, and it is nothing there but for what
// bends.
//
// Source: the vector worked out in full at those floats, a second method.
func TestShadow_centre(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	taken := 0
	for range 240 {
		s := scattered(r)
		k := newKernel(s, newLayout(&s))
		if err := k.solve(); err != nil {
			t.Fatal(err)
		}
		o := k.newOver()
		at, err := k.resolve(Output{What: OffsetSize, Of: "d/x"})
		if err != nil {
			t.Fatal(err)
		}
		o.rest(o.spot)
		o.followVector(&at, o.spot)
		least, err := o.castVector().nearest()
		if err != nil {
			t.Fatal(err)
		}
		if least > 0 {
			continue
		}
		o.putTop(o.spot)
		taken++
		for _, j := range o.loose {
			if !j.set.Roomy(o.spot[j.joint], -1e-12, -1) {
				t.Errorf("joint %d is put outside its float", j.joint)
			}
		}
		o.followVector(&at, o.spot)
		if size := dense.Length(o.values[0], o.values[1]); size > 1e-4 {
			t.Errorf("%v is left", size)
		}
	}
	if taken < 5 {
		t.Errorf("only %d of 240 come to nothing", taken)
	}
}
