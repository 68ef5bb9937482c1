package rare

import (
	"context"
	"math"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/num"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// A mixture's weights are those of its densities: they average to 1 over its own samples, and none exceeds 10.
func TestMixture_weight(t *testing.T) {
	m := newMixture([]DesignPoint{{Probability: 1e-3, z: []float64{2, 1}}, {Probability: 1e-9, z: []float64{-1, 3}}})
	if math.Abs(m.shares[0]-0.9/1.1) > 1e-12 || math.Abs(m.shares[1]-0.09/1.1) > 1e-12 {
		t.Error(m.shares)
	}
	const n = 1 << 16
	z := num.Columns(2, n)
	s := law.NewStream(1, "mixture", 0)
	s.Normals(z[0])
	s.Normals(z[1])
	var sum, most float64
	for i := range n {
		if k := m.pick(s.Float64()); k >= 0 {
			z[0][i] += m.z[k][0]
			z[1][i] += m.z[k][1]
		}
		w := m.weight(z, i)
		sum += w
		most = math.Max(most, w)
	}
	if math.Abs(sum/n-1) > 0.05 || most > 1/usual {
		t.Errorf("mean %v, greatest %v", sum/n, most)
	}
}

// The samples about design points are drawn and weighed without allocating.
func TestAimer_allocs(t *testing.T) {
	l, err := law.NewDisc(0, 0, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	s := &stackup.Study{
		Model:     stackup.Func{In: 2, Out: 1, Of: func(y, x []float64) error { y[0] = math.Hypot(x[0], x[1]+0.1); return nil }},
		Inputs:    []stackup.Input{{Name: "disc", Plane: l}},
		Responses: []stackup.Response{{Name: "size", Limits: tolerance.AtMost(0.55)}},
	}
	a, err := Find(context.Background(), s, 0, stackup.Settings{Samples: stackup.BlockSize, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	w := newAimer(context.Background(), a, "/rare")
	w.Begin(w.key, 1, 0)
	var all weights
	if n := testing.AllocsPerRun(5, func() { w.draw(); w.sum(&all, stackup.BatchSize) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}
