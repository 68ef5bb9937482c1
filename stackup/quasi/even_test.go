package quasi_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"reflect"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
	"example.com/borestack/stackup/quasi"
)

func even(t testing.TB, s *stackup.Study, set stackup.Settings) *quasi.Result {
	t.Helper()
	e, err := quasi.Run(context.Background(), s, quasi.Settings{Settings: set})
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// repeats is how often a coverage is tried.
const repeats = 500

func TestStudy_RunEven_coverage(t *testing.T) {
	s, mean, sd := stacktest.Curved()
	yield := 1 - math.Exp(-2)            // Source: Rayleigh law: P(size ≤ 2) = 1 − exp(−2²/2)
	median := math.Sqrt(2 * math.Log(2)) // Source: Rayleigh law
	var hits [6]int
	var sum, squares [6]float64
	for seed := range repeats {
		// few replicates, so that Student's t matters
		e, err := quasi.Run(context.Background(), s, quasi.Settings{Settings: stackup.Settings{Samples: 6 * 128, Seed: uint64(seed)}, Replicates: 6})
		if err != nil {
			t.Fatal(err)
		}
		for k, c := range []struct {
			f    stackup.Figure
			want float64
		}{{e.Mean(0), mean[0]}, {e.Mean(1), mean[1]}, {e.SD(0), sd[0]}, {e.SD(1), sd[1]}, {e.Yield(1), yield}, {stacktest.Must(e.Quantile(1, 0.5)), median}} {
			if c.f.Interval[0] <= c.want && c.want <= c.f.Interval[1] {
				hits[k]++
			}
			d := c.f.Value - c.want
			sum[k] += d
			squares[k] += d * d
		}
	}
	for k, h := range hits {
		if !stacktest.WithinBinomial(h, repeats, 0.95) {
			t.Errorf("figure %d: %d of %d intervals hold the true value", k, h, repeats)
		}
		if m := sum[k] / math.Sqrt(squares[k]); math.Abs(m) > 4.5 { // mean over its own standard error
			t.Errorf("figure %d: biased by %.1f", k, m)
		}
	}
}

// The error of a mean falls with the samples far faster than at random.
func TestStudy_RunEven_gain(t *testing.T) {
	s, _, sd := stacktest.Curved()
	const n = 1 << 14
	plain := sd[0] / math.Sqrt(n)
	if e := even(t, s, stackup.Settings{Samples: n, Seed: 1}).Mean(0).Error; e > plain/30 {
		t.Errorf("error %v, at random %v", e, plain)
	}
	// a product of two inputs
	p := &stackup.Study{Model: stacktest.One(2, func(x []float64) float64 { return x[0] * x[1] }), Inputs: []stackup.Input{stacktest.Uniform("a", -1, 1), stacktest.Uniform("b", -1, 1)}, Responses: []stackup.Response{{Name: "y"}}}
	plain = 1.0 / 3 / math.Sqrt(n)
	if e := even(t, p, stackup.Settings{Samples: n, Seed: 1}).Mean(0).Error; e > plain/20 {
		t.Errorf("product: error %v, at random %v", e, plain)
	}
}

func TestStudy_RunEven_manyInputs(t *testing.T) {
	s := &stackup.Study{Responses: []stackup.Response{{Name: "y"}}}
	const n = 300
	for i := range n {
		s.Inputs = append(s.Inputs, stacktest.Uniform(fmt.Sprint(i), 0, 2))
	}
	s.Inputs = append(s.Inputs, stackup.Input{Name: "opaque", Joint: stacktest.Opaque{Joint: stacktest.Must(law.NewDisc(1, 0, 1))}})
	s.Model = stacktest.One(n+2, stacktest.Sum)
	e := even(t, s, stackup.Settings{Samples: 4096, Seed: 1})
	if f := e.Mean(0); math.Abs(f.Value-n-1) > 5*f.Error || f.Error > math.Sqrt(0.5/4096)*1.5 {
		t.Error(f)
	}
}

func TestStudy_RunEven_errors(t *testing.T) {
	s := stacktest.Mixed()
	a, b := even(t, s, stackup.Settings{Samples: 5000, Workers: 1}), even(t, s, stackup.Settings{Samples: 5000, Workers: 3})
	if !reflect.DeepEqual(a, b) {
		t.Error("other numbers on other workers")
	}
	if a.Samples != 16*256 {
		t.Error(a.Samples)
	}
	for _, set := range []quasi.Settings{
		{Settings: stackup.Settings{Samples: 4096}, Replicates: 3},
		{Settings: stackup.Settings{Samples: 10}},
		{Settings: stackup.Settings{Samples: 4096, To: 2}},
	} {
		if _, err := quasi.Run(context.Background(), s, set); !stacktest.Refused(err) {
			t.Errorf("%+v: %v", set, err)
		}
	}
	for _, p := range []float64{0, 1, math.NaN(), 0.999} {
		if _, err := a.Quantile(0, p); !stacktest.Refused(err) {
			t.Errorf("quantile %v: %v", p, err)
		}
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := quasi.Run(ctx, s, quasi.Settings{Settings: stackup.Settings{Samples: 4096}}); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	all := even(t, s, stackup.Settings{Samples: 4096}).Yield(1) // no limits
	if all.Value != 1 || !(all.Interval[0] < 1 && all.Interval[0] > 0.998) || all.Interval[1] != 1 {
		t.Error(all)
	}
}

// Replicates that all have the same share say no more than to a sample. Source: hand calculation: the share of a uniform law.
func TestEven_Yield_replicatesAgree(t *testing.T) {
	const want = 0.7501 // of 256 strata 192 hold it and one a little: most replicates agree
	s := &stackup.Study{Model: stacktest.One(1, stacktest.Sum), Inputs: []stackup.Input{stacktest.Uniform("a", 0, 1)}, Responses: []stackup.Response{stacktest.Greatest("a", want)}}
	for seed := range 8 {
		y := stacktest.Must(quasi.Run(context.Background(), s, quasi.Settings{Settings: stackup.Settings{Samples: 16 * 256, Seed: uint64(seed)}})).Yield(0)
		if !(y.Error > 0) || y.Interval[0] > want || y.Interval[1] < want {
			t.Errorf("seed %d: %+v", seed, y)
		}
	}
}
