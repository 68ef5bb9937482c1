package learn

import (
	"context"
	"math"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// The gaussian's ratio is that of its densities.
func TestGaussian_logRatio(t *testing.T) {
	g := &gaussian{mean: []float64{1, -2}, upper: [][]float64{{2, -4}, {0, 10}}, inverse: [][]float64{{0.5, 0.2}, {0, 0.1}}}
	g.logRoot = math.Log(0.5 * 0.1)
	z, e := [][]float64{{0.8}, {-1.9}}, make([]float64, 2)
	// Source: hand calculation: e = (2·(−0.2) − 4·0.1 = −0.8, 10·0.1 = 1), density exp(−|e|²/2)/0.05 against exp(−|z|²/2)
	ratio := math.Exp(-(0.64+1)/2) / 0.05 / math.Exp(-(0.64+3.61)/2)
	if got, want := g.logRatio(z, 0, e), -math.Log(0.2+0.8*ratio); math.Abs(got-want) > 1e-12 {
		t.Errorf("%v, want %v", got, want)
	}
	z[0][0], z[1][0] = -0.8, 1
	if g.draw(z, 0, e); math.Abs(z[0][0]-0.8) > 1e-12 || math.Abs(z[1][0]+1.9) > 1e-12 {
		t.Error(z)
	}
}

// Samples are drawn and weighed without allocating.
func TestWeigher_allocs(t *testing.T) {
	l, err := law.NewDisc(0, 0, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	s := &stackup.Study{
		Model:     stackup.Func{In: 2, Out: 1, Of: func(y, x []float64) error { y[0] = math.Hypot(x[0], x[1]+0.1); return nil }},
		Inputs:    []stackup.Input{{Name: "disc", Joint: l}},
		Responses: []stackup.Response{{Name: "size", Limits: tolerance.AtMost(0.55)}},
	}
	readings := []Observation{{Value: 0.3, Uncertainty: 0.1}}
	likely, err := near(context.Background(), s, readings)
	if err != nil {
		t.Fatal(err)
	}
	w := newWeigher(context.Background(), s, likely, readings, []float64{0})
	w.Begin("/learn", 1, 0)
	to := newWeighed(3)
	if n := testing.AllocsPerRun(5, func() {
		w.draw()
		if err := w.weigh(&to, stackup.BatchSize); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}
