package stackup_test

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
)

func estimate(t testing.TB, s *stackup.Study, g stackup.Goal, set stackup.Settings) stackup.Estimated {
	t.Helper()
	e, err := s.Estimate(context.Background(), g, set)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// Every way is chosen where it is the best, reaches the goal, and holds the true value.
func TestStudy_Estimate_chooses(t *testing.T) {
	curve, mean, sd := curved()
	flat := rareCases()[0]
	near := &stackup.Study{Model: flat.study.Model, Inputs: flat.study.Inputs, Wanted: []stackup.Wanted{greatest("sum", -law.StandardQuantile(0.01)*math.Sqrt(10))}}
	middle := &stackup.Study{Model: flat.study.Model, Inputs: flat.study.Inputs, Wanted: []stackup.Wanted{greatest("sum", 0)}}
	wave := &stackup.Study{ // Source: hand calculation: mean 0, of all the mass in one product of cosines; nothing linear about it
		Model:  one(3, func(x []float64) float64 { return math.Cos(9*x[0]) * math.Cos(8*x[1]) * math.Cos(7*x[2]) }),
		Inputs: []stackup.Input{uniform("a", -math.Pi, math.Pi), uniform("b", -math.Pi, math.Pi), uniform("c", -math.Pi, math.Pi)},
		Wanted: []stackup.Wanted{stackup.NoLimits("y", 0)},
	}
	for _, c := range []struct {
		name  string
		study *stackup.Study
		goal  stackup.Goal
		want  float64
		by    []stackup.Method
		most  int // evaluations
	}{
		{"mean, nearly linear", curve, stackup.Goal{Of: stackup.OfMean, Error: 1e-3}, mean[0], []stackup.Method{stackup.ByLinearPart, stackup.ByEvenPoints}, 60000},
		{"sd, nearly linear", curve, stackup.Goal{Of: stackup.OfSD, Error: 1e-3}, sd[0], []stackup.Method{stackup.ByLinearPart, stackup.ByEvenPoints}, 60000},
		{"mean of a length", curve, stackup.Goal{Wanted: 1, Of: stackup.OfMean, Error: 2e-4}, mean[1], []stackup.Method{stackup.ByEvenPoints}, 150000},
		{"mean of a wave", wave, stackup.Goal{Of: stackup.OfMean, Error: 2e-3}, 0, []stackup.Method{stackup.ByRandom, stackup.ByEvenPoints}, 200000},
		{"a rare failure", flat.study, stackup.Goal{Of: stackup.OfYield, Error: 1e-6}, 1 - 1e-5, []stackup.Method{stackup.ByDesignPoints}, 100000},
		{"yield 0.99", near, stackup.Goal{Of: stackup.OfYield, Error: 1e-4}, 0.99, []stackup.Method{stackup.ByDesignPoints}, 198000},
		{"yield 0.5", middle, stackup.Goal{Of: stackup.OfYield, Error: 1e-3}, 0.5, []stackup.Method{stackup.ByEvenPoints, stackup.ByRandom}, 400000},
		{"quantile", near, stackup.Goal{Of: stackup.OfQuantile, P: 0.9973, Error: 0.06}, math.Sqrt(10) * law.StandardQuantile(0.9973), []stackup.Method{stackup.ByRandom, stackup.ByEvenPoints}, 400000},
	} {
		for seed := range 2 {
			e := estimate(t, c.study, c.goal, stackup.Settings{Samples: 400000, Seed: uint64(seed)})
			ok := false
			for _, m := range c.by {
				ok = ok || e.Method == m
			}
			if !ok {
				t.Errorf("%s: %s", c.name, e.Why)
			}
			if !e.Reached || e.Evaluations > c.most {
				t.Errorf("%s: error %v with %d evaluations: %s", c.name, e.Error, e.Evaluations, e.Why)
			}
			if math.Abs(e.Value-c.want) > 4.5*e.Error {
				t.Errorf("%s: %v, want %v", c.name, e.Figure, c.want)
			}
			if seed == 0 {
				t.Logf("%s: %.6g ± %.2g with %d: %s", c.name, e.Value, e.Error, e.Evaluations, e.Why)
			}
		}
	}
}

func TestStudy_Estimate_saysWhatItLacks(t *testing.T) {
	s := limited()
	e := estimate(t, s, stackup.Goal{Of: stackup.OfMean, Error: 1e-12}, stackup.Settings{Samples: 50000})
	if e.Evaluations > 50000 || e.Method == 0 {
		t.Errorf("%+v", e)
	}
	wave := &stackup.Study{Model: one(1, func(x []float64) float64 { return math.Cos(1e6 * x[0]) }), Inputs: []stackup.Input{uniform("a", 0, 1)}, Wanted: []stackup.Wanted{stackup.NoLimits("y", 0)}}
	if e := estimate(t, wave, stackup.Goal{Of: stackup.OfMean, Error: 1e-6}, stackup.Settings{Samples: 50000}); e.Reached || e.Evaluations > 50000 {
		t.Errorf("%+v", e)
	}
	// a law without variance has no linear part to take off
	s.Inputs[0].Law = must(law.NewStudent(0, 0.1, 2))
	if e := estimate(t, s, stackup.Goal{Of: stackup.OfQuantile, P: 0.5, Error: 0.01}, stackup.Settings{Samples: 50000}); !e.Reached {
		t.Errorf("%+v", e)
	}
	safe := &stackup.Study{Model: one(2, sum), Inputs: []stackup.Input{uniform("a", -1, 1), uniform("b", -1, 1)}, Wanted: []stackup.Wanted{greatest("sum", 2.5)}}
	e = estimate(t, safe, stackup.Goal{Of: stackup.OfYield, Error: 1e-3}, stackup.Settings{Samples: 50000})
	if e.Value != 1 || e.Method != stackup.ByRandom || !strings.Contains(e.Why, "not by design points") || e.Interval[0] >= 1 {
		t.Errorf("%+v", e)
	}
}

func TestStudy_Estimate_errors(t *testing.T) {
	s := limited()
	good := stackup.Goal{Of: stackup.OfQuantile, P: 0.5, Error: 0.1}
	for name, change := range map[string]func(*stackup.Goal, *stackup.Settings){
		"wanted":    func(g *stackup.Goal, _ *stackup.Settings) { g.Wanted = 3 },
		"statistic": func(g *stackup.Goal, _ *stackup.Settings) { g.Of = 0 },
		"p":         func(g *stackup.Goal, _ *stackup.Settings) { g.P = 1 },
		"error":     func(g *stackup.Goal, _ *stackup.Settings) { g.Error = 0 },
		"samples":   func(_ *stackup.Goal, s *stackup.Settings) { s.Samples = 1000 },
		"blocks":    func(_ *stackup.Goal, s *stackup.Settings) { s.To = 2 },
	} {
		g, set := good, stackup.Settings{Samples: 50000}
		change(&g, &set)
		if _, err := s.Estimate(context.Background(), g, set); !errors.Is(err, stackup.ErrStudy) {
			t.Errorf("%s: %v", name, err)
		}
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := s.Estimate(ctx, good, stackup.Settings{Samples: 50000}); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	a, b := estimate(t, s, good, stackup.Settings{Samples: 50000, Workers: 1}), estimate(t, s, good, stackup.Settings{Samples: 50000, Workers: 4})
	if a != b {
		t.Error("other numbers on other workers")
	}
	s.Wanted[0] = stackup.NoLimits("sum", 0)
	if _, err := s.Estimate(context.Background(), stackup.Goal{Of: stackup.OfYield, Error: 0.1}, stackup.Settings{Samples: 50000}); !errors.Is(err, stackup.ErrStudy) {
		t.Error(err)
	}
}
