package stackup

import (
	"context"
	"math"
	"testing"

	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// No sampler allocates while it samples.
func TestSamplers_allocs(t *testing.T) {
	w := Wanted{Name: "size"}
	w.Limits = tolerance.AtMost(2)
	s := &Study{
		Model: Func{In: 5, Out: 1, Of: func(y, x []float64) error {
			y[0] = math.Hypot(x[0]+x[2], x[1]+x[3]) + x[4]
			return nil
		}},
		Inputs: []Input{
			{Name: "disc", Plane: must(law.NewDisc(0, 0, 0.5))},
			{Name: "pair", Plane: must(law.NewBivariate(0, 0, 0.1, 0.1, 0.05))},
			{Name: "spread", Law: must(Scaled(must(law.NewUniform(-1, 1)), 0.5))},
		},
		Wanted: []Wanted{w},
	}
	other := &Study{Model: s.Model, Inputs: append([]Input(nil), s.Inputs...), Wanted: s.Wanted}
	other.Inputs[2].Law = must(law.NewNormal(0, 0.2))
	const n = 4 * batch
	a := must(s.aim(context.Background(), 0, Settings{Seed: 1}))
	indices := newIndices(s, n)
	pick, tails, aim := newPicker(s, []float64{0}), newTailer(s, s.cuts(1)), newAimer(a, "/rare")
	counts := newTailCounts(1, 5)
	twins, both := newTwin(s, other), &Comparison{y: [2][][]float64{columns(1, n), columns(1, n)}}
	even, evenly := newSpreader(s, n), &Even{y: columns(1, n), good: columns(1, 1)}
	readings := []Observation{{Value: 1, Uncertainty: 0.1}}
	near := must(newPathfinder(context.Background(), s, nil).near(readings))
	weigh, learnt, sums := newWeigher(s, near, readings, []float64{0}), &Learnt{y: columns(1, n), logWeight: make([]float64, n)}, newWeighed(5, 1)
	var all weights
	for name, f := range map[string]func() error{
		"indices":   func() error { pick.a.begin(1, 0); pick.b.begin(1, 0); return pick.run(&indices.groups[0], batch) },
		"tails":     func() error { tails.draws.begin(1, 0); return tails.run(counts, batch) },
		"rare":      func() error { aim.begin(1, 0); aim.draw(); aim.sum(&all, batch); return nil },
		"twins":     func() error { twins.begin(1, 0); return twins.run(both, make([][4]int, 1), 0, batch) },
		"even":      func() error { even.begin(Sobol, 1, 0); return even.run(evenly, 0, 0, batch) },
		"latin":     func() error { even.begin(Latin, 1, 0); return even.run(evenly, 0, 0, batch) },
		"posterior": func() error { weigh.begin(1, 0); return weigh.run(learnt, &sums, 0, batch) },
	} {
		if err := f(); err != nil { // once, so that memory is there
			t.Fatal(name, err)
		}
		if got := testing.AllocsPerRun(5, func() { _ = f() }); got != 0 {
			t.Errorf("%s: %v allocations", name, got)
		}
	}
}
