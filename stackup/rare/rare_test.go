package rare_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
	"example.com/borestack/stackup/rare"
	"example.com/borestack/tolerance"
)

func failures(t testing.TB, s *stackup.Study, set stackup.Settings) *rare.Rare {
	t.Helper()
	r, err := rare.Failures(context.Background(), s, 0, set)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestStudy_RareFailures_known(t *testing.T) {
	for _, c := range rareCases() {
		const repeats = 24
		hits, doubts, evaluations := 0, 0, 0
		var bias, worst float64
		for seed := range repeats {
			samples := 4096
			if c.Name == "disc" { // failures in a sliver, thinner than a standard deviation
				samples *= 4
			}
			r := failures(t, c.Study, stackup.Settings{Samples: samples, Seed: uint64(seed)})
			if f := r.Failure; f.Interval[0] <= c.Want && c.Want <= f.Interval[1] {
				hits++
			}
			bias += (r.Failure.Value - c.Want) / r.Failure.Error
			worst = math.Max(worst, r.Failure.Error/c.Want)
			evaluations = max(evaluations, r.Evaluations)
			if r.Doubt != "" {
				doubts++
			}
		}
		if !stacktest.WithinBinomial(hits, repeats, 0.95) {
			t.Errorf("%s: %d of %d intervals hold the true value", c.Name, hits, repeats)
		}
		if m := bias / math.Sqrt(repeats); math.Abs(m) > 4 {
			t.Errorf("%s: biased by %.1f", c.Name, m)
		}
		// at random, an error of 10 % of a chance p takes 100/p evaluations
		if worst > 0.1 || float64(evaluations) > 100/c.Want/100 {
			t.Errorf("%s: error %v with %d evaluations; at random %.0f", c.Name, worst, evaluations, 100/c.Want)
		}
		if doubts > 0 && (c.Name != "three rings" || doubts > repeats/3) { // rings have more ways than are kept
			t.Errorf("%s: doubt in %d", c.Name, doubts)
		}
		r := failures(t, c.Study, stackup.Settings{Samples: 4096, Seed: 1})
		if c.Beta > 0 && math.Abs(r.Points[0].Beta-c.Beta) > 1e-3 {
			t.Errorf("%s: index %v, want %v", c.Name, r.Points[0].Beta, c.Beta)
		}
		t.Logf("%s: %.3g ± %.1f %%, %d points, β %.3f, %d evaluations", c.Name, r.Failure.Value, 100*r.Failure.Error/r.Failure.Value, len(r.Points), r.Points[0].Beta, r.Evaluations)
	}
}

// A yield near 0.99 to ±1e-4, with a fifth of the samples that it takes at random.
func TestStudy_RareFailures_yield(t *testing.T) {
	for _, c := range rareCases()[:3] {
		w := &c.Study.Responses[0]
		switch c.Name {
		case "flat", "both sides":
			w.Limits = tolerance.AtMost(-law.StandardQuantile(0.01) * math.Sqrt(10))
			c.Want = 0.01
			if c.Name == "both sides" {
				w.Limits.Least, c.Want = tolerance.Given(-w.Limits.Greatest.Value), 0.02
			}
		case "all round":
			w.Limits, c.Want = tolerance.AtMost(math.Sqrt(-2*math.Log(0.01))), 0.01
		}
		random := c.Want * (1 - c.Want) / 1e-8
		var bias float64
		const repeats = 2
		for seed := range repeats {
			samples := int(8e6 * c.Want)
			r := failures(t, c.Study, stackup.Settings{Samples: samples, Seed: uint64(seed)})
			if r.Failure.Error > 1e-4 || float64(r.Evaluations) > random/5 {
				t.Errorf("%s: error %v with %d evaluations; at random %.0f", c.Name, r.Failure.Error, r.Evaluations, random)
			}
			bias += (r.Failure.Value - c.Want) / r.Failure.Error
			if seed == 0 {
				t.Logf("%s: error %.2g, %d evaluations against %.0f at random, %d points", c.Name, r.Failure.Error, r.Evaluations, random, len(r.Points))
			}
		}
		if m := bias / math.Sqrt(repeats); math.Abs(m) > 4 {
			t.Errorf("%s: biased by %.1f", c.Name, m)
		}
	}
}

// What must hold besides fails on its own, and a law that cannot be searched is drawn as it is.
func TestStudy_RareFailures_unlessAndOpaque(t *testing.T) {
	w := stackup.Response{Name: "gap"}
	w.Unless = 2
	s := &stackup.Study{
		Model: stackup.Func{In: 4, Out: 2, Of: func(y, x []float64) error {
			y[0], y[1] = math.Inf(1), 5.5-x[0]-x[1]-x[2] // assembles when at least 1
			return nil
		}},
		Inputs:    []stackup.Input{stacktest.Normal("a", 0, 0.6), stacktest.Normal("b", 0, 0.8), {Name: "o", Joint: stacktest.Opaque{Joint: stacktest.Must(law.NewDisc(0, 0, 0.5))}}},
		Responses: []stackup.Response{w},
	}
	// Source: the marginal of a disc's x = r sin t has the share 2 cos² t/π dt: the trapezoid rule
	var want float64
	const n = 2000
	for k := range n {
		at := -math.Pi/2 + math.Pi*(float64(k)+0.5)/n
		want += 2 * math.Cos(at) * math.Cos(at) / n * stacktest.Upper(4.5-0.5*math.Sin(at))
	}
	r := failures(t, s, stackup.Settings{Samples: 8192, Seed: 1})
	if math.Abs(r.Failure.Value-want) > 4*r.Failure.Error || r.Failure.Error > want/10 || r.Points[0].Side != rare.SideUnless {
		t.Errorf("%+v, want %v", r.Failure, want)
	}
	again := failures(t, s, stackup.Settings{Samples: 8192, Seed: 1, Workers: 4})
	if again.Failure != r.Failure || again.Evaluations != r.Evaluations {
		t.Error("other numbers on other workers")
	}
}

// The design point of a flat limit is known in full.
func TestDesignPoint_flat(t *testing.T) {
	s := &stackup.Study{
		Model:  stacktest.One(3, func(x []float64) float64 { return 10 + x[0] - 2*x[1] + x[2] }),
		Inputs: []stackup.Input{stacktest.Normal("a", 1, 3), stacktest.Normal("b", 0, 2), stacktest.Uniform("c", 0, 0)}, Responses: []stackup.Response{stacktest.Greatest("y", 31)},
	}
	r := failures(t, s, stackup.Settings{Samples: 4096})
	p := r.Points[0]
	// Source: hand calculation: y ~ N(11, 5), 20/5 standard deviations along (3, −4)/5
	if math.Abs(p.Beta-4) > 1e-3 || math.Abs(p.X[0]-(1+3*4*0.6)) > 1e-2 || math.Abs(p.X[1]+2*4*0.8) > 1e-2 || p.X[2] != 0 {
		t.Errorf("%+v", p)
	}
	for i, want := range []float64{0.36, 0.64, 0} {
		if math.Abs(p.Shares[i]-want) > 1e-3 {
			t.Errorf("shares %v", p.Shares)
		}
	}
	if p.Probability != stacktest.Upper(p.Beta) || len(r.Points) != 1 {
		t.Errorf("%+v", r)
	}
	// the medians fail: a negative index
	s.Responses[0].Limits = tolerance.AtMost(6)
	r = failures(t, s, stackup.Settings{Samples: 4096})
	if p := r.Points[0]; math.Abs(p.Beta+1) > 1e-3 || math.Abs(r.Failure.Value-stacktest.Upper(-1)) > 4*r.Failure.Error {
		t.Errorf("%+v", r)
	}
}

func TestStudy_RareFailures_errors(t *testing.T) {
	s := stacktest.Limited()
	ctx := context.Background()
	if _, err := rare.Failures(ctx, s, 1, stackup.Settings{Samples: 4096}); !stacktest.Refused(err) {
		t.Error(err)
	}
	if _, err := rare.Failures(ctx, s, 0, stackup.Settings{Samples: 100}); !stacktest.Refused(err) {
		t.Error(err)
	}
	free := stacktest.Limited()
	free.Responses[0] = stackup.Response{Name: "sum"}
	if _, err := rare.Failures(ctx, free, 0, stackup.Settings{Samples: 4096}); !stacktest.Refused(err) {
		t.Error(err)
	}
	safe := &stackup.Study{Model: stacktest.One(2, stacktest.Sum), Inputs: []stackup.Input{stacktest.Uniform("a", -1, 1), stacktest.Uniform("b", -1, 1)}, Responses: []stackup.Response{stacktest.Greatest("sum", 2.5)}}
	if _, err := rare.Failures(ctx, safe, 0, stackup.Settings{Samples: 4096}); !errors.Is(err, rare.ErrNoDesignPoint) {
		t.Error(err)
	}
	stopped, stop := context.WithCancel(ctx)
	stop()
	if _, err := rare.Failures(stopped, s, 0, stackup.Settings{Samples: 4096}); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	nan := &stackup.Study{Model: notNumber{}, Inputs: []stackup.Input{stacktest.Normal("a", 0, 1)}, Responses: []stackup.Response{stacktest.Greatest("y", 2)}}
	var e *fault.SampleError
	if _, err := rare.Failures(ctx, nan, 0, stackup.Settings{Samples: 4096}); !errors.As(err, &e) {
		t.Error(err)
	}
	if _, err := nan.FailureTails(ctx, stackup.Settings{Samples: 4096}); !errors.As(err, &e) {
		t.Error(err)
	}
}

// notNumber is a model of one input whose output is not a number beyond 2.5.
type notNumber struct{}

func (notNumber) Inputs() int { return 1 }

func (notNumber) Outputs() int { return 1 }

func (notNumber) NewEvaluator() stackup.Evaluator { return notNumber{} }

func (notNumber) Evaluate(dst, x [][]float64, n int) error {
	for i, v := range x[0][:n] {
		if dst[0][i] = v; v > 2.5 {
			dst[0][i] = math.NaN()
		}
	}
	return nil
}

// A sliver of failures that no slope leads to: the answer is right, or in doubt.
func TestRare_Doubt(t *testing.T) {
	s := &stackup.Study{
		Model: stacktest.One(1, func(x []float64) float64 { // a limit with a slope, and a sliver behind it
			if x[0] > 3 && x[0] < 3.02 {
				return 1
			}
			return x[0] / 10
		}),
		Inputs: []stackup.Input{stacktest.Normal("a", 0, 1)}, Responses: []stackup.Response{stacktest.Greatest("y", 0.5)},
	}
	r, err := rare.Failures(context.Background(), s, 0, stackup.Settings{Samples: 1024})
	if err != nil {
		t.Fatal(err)
	}
	if r.Doubt == "" && math.Abs(r.Failure.Value-(stacktest.Upper(3)-stacktest.Upper(3.02)+stacktest.Upper(5))) > 4*r.Failure.Error {
		t.Errorf("%+v", r)
	}
}
