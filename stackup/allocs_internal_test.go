package stackup

import (
	"context"
	"math"
	"testing"

	"example.com/borestack/stackup/internal/num"
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
			{Name: "disc", Joint: must(law.NewDisc(0, 0, 0.5))},
			{Name: "pair", Joint: must(law.NewBivariate(0, 0, 0.1, 0.1, 0.05))},
			must(Input{Name: "spread", Law: must(law.NewUniform(-1, 1))}.Scaled(0.5)),
		},
		Responses: []Response{{Name: "size", Limits: tolerance.AtMost(2)}},
	}
	w, n := NewSampler(context.Background(), s), NewNormalSampler(context.Background(), s)
	cuts := s.cuts(1)
	counts := num.Columns(2, 1+2*len(cuts))
	draw, visit := func(int, int) { w.draw() }, func(_, n int) error { return s.countTails(counts, w, cuts, n) }
	for name, f := range map[string]func() error{
		"tails":   func() error { w.Begin("", 1, 0); return w.Batches(0, 2*BatchSize, draw, visit) },
		"normals": func() error { n.Begin("/b", 1, 0); n.Normals(); n.Fill(BatchSize); return n.Rows("test", BatchSize) },
		"uniform": func() error { n.Z[4][0] = 0.5; n.FillUniform(2, 1); return nil },
	} {
		if err := f(); err != nil { // once, so that memory is there
			t.Fatal(name, err)
		}
		if got := testing.AllocsPerRun(5, func() { _ = f() }); got != 0 {
			t.Errorf("%s: %v allocations", name, got)
		}
	}
}
