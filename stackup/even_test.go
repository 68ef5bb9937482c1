package stackup_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"reflect"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

func even(t testing.TB, s *stackup.Study, how stackup.Spacing, set stackup.Settings) *stackup.Even {
	t.Helper()
	e, err := s.RunEven(context.Background(), stackup.EvenSettings{Settings: set, Spacing: how})
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// curved is a study with known answers: y = a + b + c² with normal a, b and c, and the length of a normal vector.
func curved() (s *stackup.Study, mean, sd [2]float64) {
	s = &stackup.Study{
		Model: stackup.Func{In: 5, Out: 2, Of: func(y, x []float64) error {
			y[0], y[1] = 100+x[0]+x[1]+0.05*x[2]*x[2], math.Hypot(x[3], x[4])
			return nil
		}},
		Inputs: []stackup.Input{normal("a", 0, 1), normal("b", 1, 2), normal("c", 0, 1), {Name: "p", Plane: must(law.NewBivariate(0, 0, 1, 1, 0))}},
		Wanted: []stackup.Wanted{{Name: "y"}, {Name: "size", Output: 1}},
	}
	s.Wanted[0].Limits = tolerance.AtMost(105)
	s.Wanted[1].Limits = tolerance.AtMost(2)
	// Source: hand calculation: E c² = 1, var c² = 2; Rayleigh mean √(π/2), variance 2 − π/2
	return s, [2]float64{101.05, math.Sqrt(math.Pi / 2)}, [2]float64{math.Sqrt(5 + 0.005), math.Sqrt(2 - math.Pi/2)}
}

func TestStudy_RunEven_coverage(t *testing.T) {
	s, mean, sd := curved()
	yield := 1 - math.Exp(-2)            // Source: Rayleigh law: P(size ≤ 2) = 1 − exp(−2²/2)
	median := math.Sqrt(2 * math.Log(2)) // Source: Rayleigh law
	for _, how := range []stackup.Spacing{stackup.Latin, stackup.Sobol} {
		var hits [6]int
		var sum, squares [6]float64
		for seed := range repeats {
			// few replicates, so that Student's t matters
			e, err := s.RunEven(context.Background(), stackup.EvenSettings{Settings: stackup.Settings{Samples: 6 * 128, Seed: uint64(seed)}, Spacing: how, Replicates: 6})
			if err != nil {
				t.Fatal(err)
			}
			for k, c := range []struct {
				f    stackup.Figure
				want float64
			}{{e.Mean(0), mean[0]}, {e.Mean(1), mean[1]}, {e.SD(0), sd[0]}, {e.SD(1), sd[1]}, {e.Yield(1), yield}, {must(e.Quantile(1, 0.5)), median}} {
				if c.f.Interval[0] <= c.want && c.want <= c.f.Interval[1] {
					hits[k]++
				}
				d := c.f.Value - c.want
				sum[k] += d
				squares[k] += d * d
			}
		}
		for k, h := range hits {
			if !withinBinomial(h, repeats, 0.95) {
				t.Errorf("spacing %d, figure %d: %d of %d intervals hold the true value", how, k, h, repeats)
			}
			if m := sum[k] / math.Sqrt(squares[k]); math.Abs(m) > 4.5 { // mean over its own standard error
				t.Errorf("spacing %d, figure %d: biased by %.1f", how, k, m)
			}
		}
	}
}

// The error of a mean falls with the samples far faster than at random.
func TestStudy_RunEven_gain(t *testing.T) {
	s, _, sd := curved()
	const n = 1 << 14
	plain := sd[0] / math.Sqrt(n)
	for how, gain := range map[stackup.Spacing]float64{stackup.Latin: 30, stackup.Sobol: 30} {
		if e := even(t, s, how, stackup.Settings{Samples: n, Seed: 1}).Mean(0).Error; e > plain/gain {
			t.Errorf("spacing %d: error %v, at random %v", how, e, plain)
		}
	}
	// a product of two inputs: the Latin hypercube gains nothing, Sobol's points do
	p := &stackup.Study{Model: one(2, func(x []float64) float64 { return x[0] * x[1] }), Inputs: []stackup.Input{uniform("a", -1, 1), uniform("b", -1, 1)}, Wanted: []stackup.Wanted{{Name: "y"}}}
	plain = 1.0 / 3 / math.Sqrt(n)
	if e := even(t, p, stackup.Sobol, stackup.Settings{Samples: n, Seed: 1}).Mean(0).Error; e > plain/20 {
		t.Errorf("product: error %v, at random %v", e, plain)
	}
	if e := even(t, p, stackup.Latin, stackup.Settings{Samples: n, Seed: 1}).Mean(0).Error; e < plain/2 {
		t.Errorf("product, Latin: error %v, at random %v", e, plain)
	}
}

// opaque is a plane law that is not known how to make of normal numbers.
type opaque struct{ law.Plane }

func TestStudy_RunEven_manyInputs(t *testing.T) {
	s := &stackup.Study{Wanted: []stackup.Wanted{{Name: "y"}}}
	const n = 300
	for i := range n {
		s.Inputs = append(s.Inputs, uniform(fmt.Sprint(i), 0, 2))
	}
	s.Inputs = append(s.Inputs, stackup.Input{Name: "opaque", Plane: opaque{must(law.NewDisc(1, 0, 1))}})
	s.Model = one(n+2, sum)
	e := even(t, s, stackup.Sobol, stackup.Settings{Samples: 4096, Seed: 1})
	if f := e.Mean(0); math.Abs(f.Value-n-1) > 5*f.Error || f.Error > math.Sqrt(0.5/4096)*1.5 {
		t.Error(f)
	}
}

func TestStudy_RunEven_errors(t *testing.T) {
	s := mixed()
	a, b := even(t, s, stackup.Sobol, stackup.Settings{Samples: 5000, Workers: 1}), even(t, s, stackup.Sobol, stackup.Settings{Samples: 5000, Workers: 3})
	if !reflect.DeepEqual(a, b) {
		t.Error("other numbers on other workers")
	}
	if a.Samples != 16*256 {
		t.Error(a.Samples)
	}
	for _, set := range []stackup.EvenSettings{
		{Settings: stackup.Settings{Samples: 4096}},
		{Settings: stackup.Settings{Samples: 4096}, Spacing: stackup.Latin, Replicates: 3},
		{Settings: stackup.Settings{Samples: 10}, Spacing: stackup.Latin},
		{Settings: stackup.Settings{Samples: 4096, To: 2}, Spacing: stackup.Latin},
	} {
		if _, err := s.RunEven(context.Background(), set); !errors.Is(err, stackup.ErrStudy) {
			t.Errorf("%+v: %v", set, err)
		}
	}
	for _, p := range []float64{0, 1, math.NaN(), 0.999} {
		if _, err := a.Quantile(0, p); !errors.Is(err, stackup.ErrStudy) {
			t.Errorf("quantile %v: %v", p, err)
		}
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := s.RunEven(ctx, stackup.EvenSettings{Settings: stackup.Settings{Samples: 4096}, Spacing: stackup.Latin}); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	all := even(t, s, stackup.Sobol, stackup.Settings{Samples: 4096}).Yield(1) // no limits
	if all.Value != 1 || !(all.Interval[0] < 1 && all.Interval[0] > 0.998) || all.Interval[1] != 1 {
		t.Error(all)
	}
}

func TestStudy_RunControlled_coverage(t *testing.T) {
	s, mean, sd := curved()
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
		if !withinBinomial(h, repeats, 0.95) {
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
		Model:  one(1, func(x []float64) float64 { return x[0] + e*(x[0]*x[0]-1) }),
		Inputs: []stackup.Input{normal("a", 0, 1)}, Wanted: []stackup.Wanted{{Name: "y"}},
	}
	var mean float64
	for seed := range uint64(seeds) {
		c := must(s.RunControlled(context.Background(), stackup.Settings{Samples: n, Seed: seed}))[0]
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
		Model:  one(2, func(x []float64) float64 { return 3*x[0] - x[1] }),
		Inputs: []stackup.Input{uniform("a", 0, 2), normal("b", 5, 1)}, Wanted: []stackup.Wanted{{Name: "y"}},
	}
	c, err := s.RunControlled(context.Background(), stackup.Settings{Samples: 2048})
	if err != nil {
		t.Fatal(err)
	}
	// Source: hand calculation: 3 − 5; 9/3 + 1
	if math.Abs(c[0].Mean.Value+2) > 1e-9 || math.Abs(c[0].SD.Value-2) > 1e-9 {
		t.Errorf("%+v", c[0])
	}
	s.Inputs[1].Law = must(law.NewStudent(0, 1, 2))
	if _, err := s.RunControlled(context.Background(), stackup.Settings{Samples: 2048}); !errors.Is(err, stackup.ErrStudy) {
		t.Error(err)
	}
}

// Replicates that all have the same share say no more than to a sample. Source: hand calculation: the share of a uniform law.
func TestEven_Yield_replicatesAgree(t *testing.T) {
	const want = 0.7501 // of 256 strata 192 hold it and one a little: most replicates agree
	s := &stackup.Study{Model: one(1, sum), Inputs: []stackup.Input{uniform("a", 0, 1)}, Wanted: []stackup.Wanted{greatest("a", want)}}
	for seed := range 8 {
		y := must(s.RunEven(context.Background(), stackup.EvenSettings{Settings: stackup.Settings{Samples: 16 * 256, Seed: uint64(seed)}, Spacing: stackup.Sobol})).Yield(0)
		if !(y.Error > 0) || y.Interval[0] > want || y.Interval[1] < want {
			t.Errorf("seed %d: %+v", seed, y)
		}
	}
}
