package stackup

import (
	"context"
	"math"
	"testing"

	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// No sampler allocates while it samples.
func TestSampler_allocs(t *testing.T) {
	s := &Study{
		Model: Func{In: 5, Out: 1, Of: func(y, x []float64) error {
			y[0] = math.Hypot(x[0]+x[2], x[1]+x[3]) + x[4]
			return nil
		}},
		Inputs: []Input{
			{Name: "disc", Plane: must(law.NewDisc(0, 0, 0.5))},
			{Name: "pair", Plane: must(law.NewBivariate(0, 0, 0.1, 0.1, 0.05))},
			must(Input{Name: "spread", Law: must(law.NewUniform(-1, 1))}.Scaled(0.5)),
		},
		Wanted: []Wanted{{Name: "size", Limits: tolerance.AtMost(2)}},
	}
	other := &Study{Model: s.Model, Inputs: append([]Input(nil), s.Inputs...), Wanted: s.Wanted}
	other.Inputs[2] = Input{Name: "spread", Law: must(law.NewNormal(0, 0.2))}
	w, n := NewSampler(context.Background(), s), NewNormalSampler(context.Background(), s)
	twins := newTwin(context.Background(), s, other)
	twins.parts[0].stream[0] = law.NewStream(1, "twin", 0)
	cuts := s.cuts(1)
	counts := newTailCounts(1, len(cuts))
	draw, visit := func(int, int) { w.Draw() }, func(_, n int) error { return counts.count(s, w, cuts, n) }
	for name, f := range map[string]func() error{
		"tails":   func() error { w.Begin("", 1, 0); return w.Batches(0, 2*BatchSize, draw, visit) },
		"normals": func() error { n.Begin("/b", 1, 0); n.Normals(); n.Fill(BatchSize); return n.Rows("test", BatchSize) },
		"uniform": func() error { n.Z[4][0] = 0.5; n.FillUniform(2, 1); return nil },
		"twins": func() error {
			for k := range twins.parts {
				twins.draw(&twins.parts[k])
			}
			return nil
		},
	} {
		if err := f(); err != nil { // once, so that memory is there
			t.Fatal(name, err)
		}
		if got := testing.AllocsPerRun(5, func() { _ = f() }); got != 0 {
			t.Errorf("%s: %v allocations", name, got)
		}
	}
}
