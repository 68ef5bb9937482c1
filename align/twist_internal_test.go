package align

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/align/internal/floatset"
)

// Twists say how centres, sizes and chains follow the floats: against central differences, on boxes
// with leaning seats, turned and shifted parts, about floats at random.
func TestTwist_againstDifferences(t *testing.T) {
	rng := rand.New(rand.NewPCG(17, 1))
	checked := 0
	for trial := range 60 {
		s := plainStack(rng)
		for i := range s.Joints {
			s.Joints[i].Lies, s.Joints[i].Float = LiesAny, nil
		}
		if trial%2 == 0 {
			s.Joints[0].Rules = RulesPilot
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
		floats := make([]floatset.Vec, len(k.seats))
		o.rest(floats)
		for _, l := range o.loose {
			if v, err := l.set.Uniform(floatset.Numbers{rng.Float64(), -1, -1}); err == nil {
				floats[l.joint] = v
			}
		}
		last := s.Parts[len(s.Parts)-1].Name
		same := func(what string, follow func(), n int, value func(dst []float64)) {
			t.Helper()
			follow()
			got, values := append([]float64(nil), o.deriv...), append([]float64(nil), o.values...)
			o.linearise(floats, n, value)
			for i := range n {
				if math.Abs(values[i]-o.values[i]) > 1e-12 {
					t.Errorf("trial %d, %s: value %d is %v, want %v", trial, what, i, values[i], o.values[i])
				}
				for c := range 3 * len(o.loose) {
					got, want := got[3*len(o.loose)*i+c], o.deriv[3*len(o.loose)*i+c]
					if math.Abs(got-want) > 1e-7*(1+math.Abs(want)) {
						t.Errorf("trial %d, %s: number %d follows component %d by %v, want %v", trial, what, i, c, got, want)
					}
					checked++
				}
			}
		}
		same("circles", func() { o.followCircles(floats) }, 2*len(k.circles), o.centres)
		for _, out := range []Output{
			{What: OffsetSize, Of: last + "/a", From: "best"},
			{What: TIRSize, Of: last + "/c", From: "two"},
			{What: TiltSize, Of: last + "/a", From: "axis"},
			{What: OffsetSize, Of: "p0/c", From: "axis"},
			{What: TiltSize, Of: "p1/a", From: "best"},
		} {
			r, err := k.resolve(out)
			if err != nil {
				t.Fatal(err)
			}
			same(out.Of, func() { o.followVector(&r, floats) }, 2, func(dst []float64) { k.vector(&r, dst) })
		}
		same("chain", func() { o.followChain(0, floats) }, 1, func(dst []float64) { dst[0] = k.chain(0) })
	}
	if checked < 2000 {
		t.Errorf("only %d derivatives were tried", checked)
	}
}
