package stackup_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
)

func TestStudy_RunControlled_coverage(t *testing.T) {
	s, mean, sd := stacktest.Curved()
	var hits [4]int
	var bias [4]float64
	for seed := range repeats {
		c, err := s.RunControlled(context.Background(), stackup.Settings{Samples: 2048, Seed: uint64(seed)})
		if err != nil {
			t.Fatal(err)
		}
		for k, f := range []stackup.Figure{c[0].Mean, c[1].Mean, c[0].SD, c[1].SD} {
			want := [4]float64{mean[0], mean[1], sd[0], sd[1]}[k]
			if f.Interval[0] <= want && want <= f.Interval[1] {
				hits[k]++
			}
			bias[k] += (f.Value - want) / f.Error
		}
		if seed == 0 && (c[0].Gain < 500 || c[1].Gain > 1.05) {
			t.Errorf("gains %v, %v", c[0].Gain, c[1].Gain)
		}
	}
	for k, h := range hits {
		if !stacktest.WithinBinomial(h, repeats, 0.95) {
			t.Errorf("figure %d: %d of %d intervals hold the true value", k, h, repeats)
		}
		if m := bias[k] / math.Sqrt(repeats); math.Abs(m) > 4.5 {
			t.Errorf("figure %d: biased by %.1f", k, m)
		}
	}
}

func TestStudy_RunControlled_linear(t *testing.T) {
	s := &stackup.Study{
		Model:  stacktest.One(2, func(x []float64) float64 { return 3*x[0] - x[1] }),
		Inputs: []stackup.Input{stacktest.Uniform("a", 0, 2), stacktest.Normal("b", 5, 1)}, Wanted: []stackup.Wanted{{Name: "y"}},
	}
	c, err := s.RunControlled(context.Background(), stackup.Settings{Samples: 2048})
	if err != nil {
		t.Fatal(err)
	}
	// Source: hand calculation: 3 − 5; 9/3 + 1
	if math.Abs(c[0].Mean.Value+2) > 1e-9 || math.Abs(c[0].SD.Value-2) > 1e-9 {
		t.Errorf("%+v", c[0])
	}
	s.Inputs[1].Law = stacktest.Must(law.NewStudent(0, 1, 2))
	if _, err := s.RunControlled(context.Background(), stackup.Settings{Samples: 2048}); !errors.Is(err, stackup.ErrStudy) {
		t.Error(err)
	}
}
