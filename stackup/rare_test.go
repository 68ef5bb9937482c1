package stackup_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

func rare(t testing.TB, s *stackup.Study, set stackup.Settings) *stackup.Rare {
	t.Helper()
	r, err := s.RareFailures(context.Background(), 0, set)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// upper is the share of the standard normal law above x.
func upper(x float64) float64 { return math.Erfc(x/math.Sqrt2) / 2 }

// rareCase is a study with a known chance of failing.
type rareCase struct {
	name  string
	study *stackup.Study
	want  float64
	beta  float64 // of the nearest design point; 0: not known in closed form
}

func greatest(name string, limit float64) stackup.Wanted {
	return stackup.Wanted{Name: name, Limits: tolerance.AtMost(limit)}
}

// planes are independent normal pairs of one variance.
func planes(n int, variance float64) (out []stackup.Input) {
	for i := range n {
		out = append(out, stackup.Input{Name: fmt.Sprint("p", i), Plane: must(law.NewBivariate(0, 0, variance, variance, 0))})
	}
	return out
}

// rareCases are limits that are flat, curved, on both sides, all round, and of bounded laws.
func rareCases() []rareCase {
	beta := -law.StandardQuantile(1e-5)
	var many []stackup.Input
	for i := range 10 {
		many = append(many, normal(fmt.Sprint("n", i), 0, 1))
	}
	both := stackup.Wanted{Name: "sum", Limits: tolerance.Between(-beta*math.Sqrt(10), beta*math.Sqrt(10))}
	return []rareCase{
		// Source: hand calculation: the sum of ten normal deviations
		{"flat", &stackup.Study{Model: one(10, sum), Inputs: many, Wanted: []stackup.Wanted{greatest("sum", beta*math.Sqrt(10))}}, 1e-5, beta},
		{"both sides", &stackup.Study{Model: one(10, sum), Inputs: many, Wanted: []stackup.Wanted{both}}, 2e-5, beta},
		// Source: Rayleigh law: exp(−r²/2)
		{"all round", &stackup.Study{
			Model: one(20, func(x []float64) float64 {
				var u, v float64
				for i := 0; i < len(x); i += 2 {
					u, v = u+x[i], v+x[i+1]
				}
				return math.Hypot(u, v)
			}),
			Inputs: planes(10, 0.1), Wanted: []stackup.Wanted{greatest("size", math.Sqrt(-2*math.Log(1e-5)))},
		}, 1e-5, math.Sqrt(-2 * math.Log(1e-5))},
		// Source: hand calculation: the corner of the sum of two uniform deviations: ½ (0.01)²/4
		{"uniform", &stackup.Study{
			Model: one(2, sum), Inputs: []stackup.Input{uniform("a", -1, 1), uniform("b", -1, 1)}, Wanted: []stackup.Wanted{greatest("sum", 1.99)},
		}, 0.01 * 0.01 / 8, math.Sqrt2 * -law.StandardQuantile(0.0025)}, // both at 0.995, a share 0.0025 from the end
		// Source: hand calculation: share of a disc beyond a chord at h: (acos h − h √(1 − h²))/π
		{"disc", &stackup.Study{
			Model:  one(2, func(x []float64) float64 { return 0.6*x[0] + 0.8*x[1] }),
			Inputs: []stackup.Input{{Name: "d", Plane: must(law.NewDisc(0, 0, 1))}}, Wanted: []stackup.Wanted{greatest("x", 0.999)},
		}, (math.Acos(0.999) - 0.999*math.Sqrt(1-0.999*0.999)) / math.Pi, math.Sqrt(-2 * math.Log(1-0.999*0.999))}, // the share beyond that radius
		// Source: hand calculation: x² > 16 on both sides
		{"square", &stackup.Study{
			Model:  one(3, func(x []float64) float64 { return x[0] * x[0] }),
			Inputs: many[:3], Wanted: []stackup.Wanted{greatest("square", 16)},
		}, 2 * upper(4), 4},
		// Source: Rayleigh law three times over: three lengths of independent normal pairs
		{"three rings", &stackup.Study{
			Model: one(30, func(x []float64) float64 {
				var most float64
				for ring := range 3 {
					var u, v float64
					for i := 10 * ring; i < 10*ring+10; i += 2 {
						u, v = u+x[i], v+x[i+1]
					}
					most = math.Max(most, math.Hypot(u, v)/math.Sqrt(-2*math.Log(float64(3*ring+2)*1e-6)))
				}
				return most
			}),
			Inputs: planes(15, 0.2), Wanted: []stackup.Wanted{greatest("worst", 1)},
		}, 1 - (1-2e-6)*(1-5e-6)*(1-8e-6), math.Sqrt(-2 * math.Log(8e-6))},
		// Source: hand calculation: independent ways
		{"two ways", &stackup.Study{
			Model:  one(10, func(x []float64) float64 { return math.Max(x[0]-4.2, -x[5]-4.3) }),
			Inputs: many, Wanted: []stackup.Wanted{greatest("either", 0)},
		}, 1 - (1-upper(4.2))*(1-upper(4.3)), 4.2},
	}
}

func TestStudy_RareFailures_known(t *testing.T) {
	for _, c := range rareCases() {
		const repeats = 24
		hits, doubts, evaluations := 0, 0, 0
		var bias, worst float64
		for seed := range repeats {
			samples := 4096
			if c.name == "disc" { // failures in a sliver, thinner than a standard deviation
				samples *= 4
			}
			r := rare(t, c.study, stackup.Settings{Samples: samples, Seed: uint64(seed)})
			if f := r.Failure; f.Interval[0] <= c.want && c.want <= f.Interval[1] {
				hits++
			}
			bias += (r.Failure.Value - c.want) / r.Failure.Error
			worst = math.Max(worst, r.Failure.Error/c.want)
			evaluations = max(evaluations, r.Evaluations)
			if r.Doubt != "" {
				doubts++
			}
		}
		if !withinBinomial(hits, repeats, 0.95) {
			t.Errorf("%s: %d of %d intervals hold the true value", c.name, hits, repeats)
		}
		if m := bias / math.Sqrt(repeats); math.Abs(m) > 4 {
			t.Errorf("%s: biased by %.1f", c.name, m)
		}
		// at random, an error of 10 % of a chance p takes 100/p evaluations
		if worst > 0.1 || float64(evaluations) > 100/c.want/100 {
			t.Errorf("%s: error %v with %d evaluations; at random %.0f", c.name, worst, evaluations, 100/c.want)
		}
		if doubts > 0 {
			t.Errorf("%s: doubt in %d", c.name, doubts)
		}
		r := rare(t, c.study, stackup.Settings{Samples: 4096, Seed: 1})
		if c.beta > 0 && math.Abs(r.Points[0].Beta-c.beta) > 1e-3 {
			t.Errorf("%s: index %v, want %v", c.name, r.Points[0].Beta, c.beta)
		}
		t.Logf("%s: %.3g ± %.1f %%, %d points, β %.3f, %d evaluations", c.name, r.Failure.Value, 100*r.Failure.Error/r.Failure.Value, len(r.Points), r.Points[0].Beta, r.Evaluations)
	}
}

// A yield near 0.99 to ±1e-4, with a fifth of the samples that it takes at random.
func TestStudy_RareFailures_yield(t *testing.T) {
	for _, c := range rareCases()[:3] {
		w := &c.study.Wanted[0]
		switch c.name {
		case "flat", "both sides":
			w.Limits = tolerance.AtMost(-law.StandardQuantile(0.01) * math.Sqrt(10))
			c.want = 0.01
			if c.name == "both sides" {
				w.Limits.Least, c.want = tolerance.Given(-w.Limits.Greatest.Value), 0.02
			}
		case "all round":
			w.Limits, c.want = tolerance.AtMost(math.Sqrt(-2*math.Log(0.01))), 0.01
		}
		random := c.want * (1 - c.want) / 1e-8
		var bias float64
		const repeats = 2
		for seed := range repeats {
			samples := int(8e6 * c.want)
			r := rare(t, c.study, stackup.Settings{Samples: samples, Seed: uint64(seed)})
			if r.Failure.Error > 1e-4 || float64(r.Evaluations) > random/5 {
				t.Errorf("%s: error %v with %d evaluations; at random %.0f", c.name, r.Failure.Error, r.Evaluations, random)
			}
			bias += (r.Failure.Value - c.want) / r.Failure.Error
			if seed == 0 {
				t.Logf("%s: error %.2g, %d evaluations against %.0f at random, %d points", c.name, r.Failure.Error, r.Evaluations, random, len(r.Points))
			}
		}
		if m := bias / math.Sqrt(repeats); math.Abs(m) > 4 {
			t.Errorf("%s: biased by %.1f", c.name, m)
		}
	}
}

// What must hold besides fails on its own, and a law that cannot be searched is drawn as it is.
func TestStudy_RareFailures_unlessAndOpaque(t *testing.T) {
	w := stackup.Wanted{Name: "gap"}
	w.Unless = 2
	s := &stackup.Study{
		Model: stackup.Func{In: 4, Out: 2, Of: func(y, x []float64) error {
			y[0], y[1] = math.Inf(1), 5.5-x[0]-x[1]-x[2] // assembles when at least 1
			return nil
		}},
		Inputs: []stackup.Input{normal("a", 0, 0.6), normal("b", 0, 0.8), {Name: "o", Plane: opaque{must(law.NewDisc(0, 0, 0.5))}}},
		Wanted: []stackup.Wanted{w},
	}
	// Source: the marginal of a disc's x = r sin t has the share 2 cos² t/π dt: the trapezoid rule
	var want float64
	const n = 2000
	for k := range n {
		at := -math.Pi/2 + math.Pi*(float64(k)+0.5)/n
		want += 2 * math.Cos(at) * math.Cos(at) / n * upper(4.5-0.5*math.Sin(at))
	}
	r := rare(t, s, stackup.Settings{Samples: 8192, Seed: 1})
	if math.Abs(r.Failure.Value-want) > 4*r.Failure.Error || r.Failure.Error > want/10 || r.Points[0].Side != stackup.SideUnless {
		t.Errorf("%+v, want %v", r.Failure, want)
	}
	again := rare(t, s, stackup.Settings{Samples: 8192, Seed: 1, Workers: 4})
	if again.Failure != r.Failure || again.Evaluations != r.Evaluations {
		t.Error("other numbers on other workers")
	}
}

// The design point of a flat limit is known in full.
func TestDesignPoint_flat(t *testing.T) {
	s := &stackup.Study{
		Model:  one(3, func(x []float64) float64 { return 10 + x[0] - 2*x[1] + x[2] }),
		Inputs: []stackup.Input{normal("a", 1, 3), normal("b", 0, 2), uniform("c", 0, 0)}, Wanted: []stackup.Wanted{greatest("y", 31)},
	}
	r := rare(t, s, stackup.Settings{Samples: 4096})
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
	if p.Probability != upper(p.Beta) || len(r.Points) != 1 {
		t.Errorf("%+v", r)
	}
	// the medians fail: a negative index
	s.Wanted[0].Limits = tolerance.AtMost(6)
	r = rare(t, s, stackup.Settings{Samples: 4096})
	if p := r.Points[0]; math.Abs(p.Beta+1) > 1e-3 || math.Abs(r.Failure.Value-upper(-1)) > 4*r.Failure.Error {
		t.Errorf("%+v", r)
	}
}

func TestStudy_RareFailures_errors(t *testing.T) {
	s := limited()
	ctx := context.Background()
	if _, err := s.RareFailures(ctx, 1, stackup.Settings{Samples: 4096}); !errors.Is(err, stackup.ErrStudy) {
		t.Error(err)
	}
	if _, err := s.RareFailures(ctx, 0, stackup.Settings{Samples: 100}); !errors.Is(err, stackup.ErrStudy) {
		t.Error(err)
	}
	free := limited()
	free.Wanted[0] = stackup.Wanted{Name: "sum"}
	if _, err := free.RareFailures(ctx, 0, stackup.Settings{Samples: 4096}); !errors.Is(err, stackup.ErrStudy) {
		t.Error(err)
	}
	safe := &stackup.Study{Model: one(2, sum), Inputs: []stackup.Input{uniform("a", -1, 1), uniform("b", -1, 1)}, Wanted: []stackup.Wanted{greatest("sum", 2.5)}}
	if _, err := safe.RareFailures(ctx, 0, stackup.Settings{Samples: 4096}); !errors.Is(err, stackup.ErrNoDesignPoint) {
		t.Error(err)
	}
	stopped, stop := context.WithCancel(ctx)
	stop()
	if _, err := s.RareFailures(stopped, 0, stackup.Settings{Samples: 4096}); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	nan := &stackup.Study{Model: notNumber{}, Inputs: []stackup.Input{normal("a", 0, 1)}, Wanted: []stackup.Wanted{greatest("y", 2)}}
	var e *stackup.SampleError
	if _, err := nan.RareFailures(ctx, 0, stackup.Settings{Samples: 4096}); !errors.As(err, &e) {
		t.Error(err)
	}
	if _, err := nan.FailureTails(ctx, stackup.Settings{Samples: 4096}); !errors.As(err, &e) {
		t.Error(err)
	}
}

// notNumber is a model of one input whose output is not a number beyond 2.5.
type notNumber struct{}

func (notNumber) Inputs() int                     { return 1 }
func (notNumber) Outputs() int                    { return 1 }
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
		Model: one(1, func(x []float64) float64 { // a limit with a slope, and a sliver behind it
			if x[0] > 3 && x[0] < 3.02 {
				return 1
			}
			return x[0] / 10
		}),
		Inputs: []stackup.Input{normal("a", 0, 1)}, Wanted: []stackup.Wanted{greatest("y", 0.5)},
	}
	r, err := s.RareFailures(context.Background(), 0, stackup.Settings{Samples: 1024})
	if err != nil {
		t.Fatal(err)
	}
	if r.Doubt == "" && math.Abs(r.Failure.Value-(upper(3)-upper(3.02)+upper(5))) > 4*r.Failure.Error {
		t.Errorf("%+v", r)
	}
}
