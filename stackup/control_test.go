package stackup_test

import (
	"context"
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

// Where the controls know the mean, the standard deviation still has an error of its own.
//
// Source: hand calculation with Hermite polynomials: v = x + εHe₂(x), whose mean the controls x and
// He₂(x) give exactly, has v² = He₂ terms + 2εHe₃ + ε²He₄; the last two, of variances 6 and 24, no
// control takes out: var(v²) = 24ε² + 24ε⁴ over n, and the error of √(1 + 2ε²) is half its root over that.
func TestStudy_RunControlled_errorOfSD(t *testing.T) {
	const e, n, seeds = 0.2, 1 << 15, 8 // 32 batches tell an error to 13 %, eight times to 4.5 %
	s := &stackup.Study{
		Model:  stacktest.One(1, func(x []float64) float64 { return x[0] + e*(x[0]*x[0]-1) }),
		Inputs: []stackup.Input{stacktest.Normal("a", 0, 1)}, Wanted: []stackup.Wanted{{Name: "y"}},
	}
	var mean float64
	for seed := range uint64(seeds) {
		c := stacktest.Must(s.RunControlled(context.Background(), stackup.Settings{Samples: n, Seed: seed}))[0]
		mean += c.SD.Error / seeds
		if c.Mean.Error > 1e-9 {
			t.Errorf("mean: error %v where the controls know it", c.Mean.Error)
		}
	}
	if want := math.Sqrt(24*e*e*(1+e*e)/n) / (2 * math.Sqrt(1+2*e*e)); math.Abs(mean-want) > 0.2*want {
		t.Errorf("error of the standard deviation %v, want %v", mean, want)
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
	if _, err := s.RunControlled(context.Background(), stackup.Settings{Samples: 2048}); !stacktest.Refused(err) {
		t.Error(err)
	}
}
