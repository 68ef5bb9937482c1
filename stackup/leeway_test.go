package stackup_test

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"example.com/borestack/internal/check"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// spread and shift are a study with an input's spread times a value, or with its columns shifted by a value's multiples.
func spread(s *stackup.Study, input int) func(float64) (*stackup.Study, error) {
	return func(v float64) (*stackup.Study, error) {
		in, err := s.Inputs[input].Scaled(v)
		return s.With(in), err
	}
}

func shift(s *stackup.Study, input int, by ...float64) func(float64) (*stackup.Study, error) {
	return func(v float64) (*stackup.Study, error) {
		way := slices.Clone(by)
		for k := range way {
			way[k] *= v
		}
		in, err := s.Inputs[input].Shifted(way...)
		return s.With(in), err
	}
}

func howFar(t testing.TB, study func(float64) (*stackup.Study, error), q stackup.Question, set stackup.Settings) stackup.Leeway {
	t.Helper()
	l, err := stackup.HowFar(context.Background(), study, q, set)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestStudy_HowFar_coverage(t *testing.T) {
	s := stacktest.Limited()
	z := law.StandardQuantile(0.99)
	for _, c := range []struct {
		study func(float64) (*stackup.Study, error)
		q     stackup.Question
		want  float64 // Source: hand calculation: shift + 2.326 √(a² + b²) = 1
	}{
		{spread(s, 0), stackup.Question{From: 0.5, To: 4, Share: 0.99}, math.Sqrt(1/z/z-0.09) / 0.2},
		{shift(s, 1, 1), stackup.Question{From: 0, To: 1, Share: 0.99}, 1 - z*math.Sqrt(0.13)},
	} {
		hits := 0
		var bias float64
		const repeats = 250
		for seed := range repeats {
			l := howFar(t, c.study, c.q, stackup.Settings{Samples: 2048, Seed: uint64(seed)})
			if l.Interval[0] <= c.want && c.want <= l.Interval[1] {
				hits++
			}
			bias += (l.Value - c.want) / l.Error
			if l.Crossings != 1 || l.NeverHeld || l.AlwaysHeld {
				t.Fatalf("%+v", l)
			}
		}
		if !stacktest.WithinBinomial(hits, repeats, 0.95) {
			t.Errorf("%+v: %d of %d intervals hold %v", c.q, hits, repeats, c.want)
		}
		if m := bias / math.Sqrt(repeats); math.Abs(m) > 4.5 {
			t.Errorf("%+v: biased by %.1f", c.q, m)
		}
	}
}

// The error of the answer is that of the share over how fast the share falls.
//
// Source: delta method: √(p(1 − p)/n) over the density of the sum at its quantile, φ(z)/σ, and for the
// spread over its change with the spread, z·(dσ/dt)/σ times that.
func TestStudy_HowFar_error(t *testing.T) {
	const n, p, seeds = 1 << 14, 0.9, 12 // a share's slope comes from some 150 samples: 8 % each, 2.4 % of all
	s := stacktest.Limited()
	z := law.StandardQuantile(p)
	density := math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
	share := math.Sqrt(p * (1 - p) / n)
	factor := math.Sqrt(1/z/z-0.09) / 0.2 // a's factor where 1 = zσ
	for _, c := range []struct {
		study func(float64) (*stackup.Study, error)
		q     stackup.Question
		want  float64
	}{
		{shift(s, 1, 1), stackup.Question{From: 0, To: 1, Share: p}, share * math.Sqrt(0.13) / density},
		{spread(s, 0), stackup.Question{From: 0.5, To: 6, Share: p}, share / (density * z * z * z * 0.04 * factor)},
	} {
		var mean float64
		for seed := range uint64(seeds) {
			mean += howFar(t, c.study, c.q, stackup.Settings{Samples: n, Seed: seed}).Error / seeds
		}
		if math.Abs(mean-c.want) > 0.1*c.want {
			t.Errorf("%+v: error %v, want %v", c.q, mean, c.want)
		}
	}
}

func TestStudy_HowFar_planes(t *testing.T) {
	w := stackup.Response{Name: "y"}
	w.Limits = tolerance.AtMost(1)
	s := &stackup.Study{
		Model:  stacktest.One(2, func(x []float64) float64 { return math.Hypot(x[0], x[1]) }),
		Inputs: []stackup.Input{{Name: "p", Joint: stacktest.Must(law.NewDisc(0, 0, 0.5))}}, Responses: []stackup.Response{w},
	}
	l := howFar(t, spread(s, 0), stackup.Question{From: 1, To: 4, Share: 0.8}, stackup.Settings{Samples: 20000, Seed: 1})
	want := 2 / math.Sqrt(0.8) // Source: hand calculation: share 1/(t/2)² within
	if math.Abs(l.Value-want) > 4*l.Error || l.Error > 0.02 {
		t.Errorf("%+v, want %v", l, want)
	}
	// Source: hand calculation: a disc of radius 0.5 reaches 1 when shifted by 0.5 any way
	l = howFar(t, shift(s, 0, math.Cos(0.3), math.Sin(0.3)), stackup.Question{From: 0, To: -2, Share: 1}, stackup.Settings{})
	if math.Abs(l.Value+0.5) > 1e-6 || l.Crossings != 1 {
		t.Errorf("%+v", l)
	}
}

func TestStudy_HowFar_worstCase(t *testing.T) {
	w := stackup.Response{Name: "y"}
	w.Limits, w.Unless = tolerance.Between(-2, 10), 2
	s := &stackup.Study{
		Model: stackup.Func{In: 2, Out: 2, Of: func(y, x []float64) error {
			y[0], y[1] = x[0]-x[1], 5-x[0]
			return nil
		}},
		Inputs: []stackup.Input{stacktest.Uniform("a", -1, 1), stacktest.Uniform("b", -0.5, 0.5)}, Responses: []stackup.Response{w},
	}
	ask := stackup.Question{From: 1, To: 8, Share: 1}
	// Source: hand calculation: −t − 0.5 ≥ −2
	if l := howFar(t, spread(s, 0), ask, stackup.Settings{}); math.Abs(l.Value-1.5) > 1e-9 {
		t.Errorf("%+v", l)
	}
	s.Responses[0].Limits = tolerance.Between(-100, 100) // Source: hand calculation: 5 − t ≥ 1
	if l := howFar(t, spread(s, 0), ask, stackup.Settings{}); math.Abs(l.Value-4) > 1e-9 {
		t.Errorf("%+v", l)
	}
	ask.To = 3
	if l := howFar(t, spread(s, 0), ask, stackup.Settings{}); !l.AlwaysHeld || l.Value != 3 || l.Crossings != 0 {
		t.Errorf("%+v", l)
	}
	ask.From, ask.To = 5, 6
	if l := howFar(t, spread(s, 0), ask, stackup.Settings{}); !l.NeverHeld || l.Value != 5 {
		t.Errorf("%+v", l)
	}
}

func TestStudy_HowFar_ends(t *testing.T) {
	s := stacktest.Limited()
	ask := stackup.Question{From: 0, To: 1, Share: 0.9}
	if l := howFar(t, spread(s, 0), ask, stackup.Settings{Samples: 2048}); !l.AlwaysHeld || l.Value != 1 {
		t.Errorf("%+v", l)
	}
	ask.From, ask.To = 50, 60
	if l := howFar(t, spread(s, 0), ask, stackup.Settings{Samples: 2048}); !l.NeverHeld || l.Value != 50 {
		t.Errorf("%+v", l)
	}
	// held only between: the first loss
	s.Responses[0].Limits.Least = tolerance.Given(-1.0)
	ask = stackup.Question{From: 0, To: -3, Share: 0.9}
	l := howFar(t, shift(s, 1, 1), ask, stackup.Settings{Samples: 1 << 14, Workers: 3})
	if again := howFar(t, shift(s, 1, 1), ask, stackup.Settings{Samples: 1 << 14, Workers: 1}); again != l {
		t.Error("other numbers on other workers")
	}
	want := -(1 - law.StandardQuantile(0.9)*math.Sqrt(0.13))
	if math.Abs(l.Value-want) > 4*l.Error || !(l.Interval[0] < l.Value && l.Value < l.Interval[1]) {
		t.Errorf("%+v, want %v", l, want)
	}
}

func TestStudy_HowFar_errors(t *testing.T) {
	s := stacktest.Limited()
	good := stackup.Question{From: 0, To: 1, Share: 0.9}
	for name, change := range map[string]func(*stackup.Question){
		"share":    func(q *stackup.Question) { q.Share = 1.1 },
		"from":     func(q *stackup.Question) { q.From = -1 },
		"range":    func(q *stackup.Question) { q.From = 1 },
		"infinite": func(q *stackup.Question) { q.To = math.Inf(1) },
		"wanted":   func(q *stackup.Question) { q.Response = 1 },
		"worst":    func(q *stackup.Question) { q.Share = 1 }, // normal laws have none
	} {
		q := good
		change(&q)
		if _, err := stackup.HowFar(context.Background(), spread(s, 0), q, stackup.Settings{Samples: 2048}); !stacktest.Refused(err) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for name, study := range map[string]func(float64) (*stackup.Study, error){
		"no study":        func(float64) (*stackup.Study, error) { return nil, nil },
		"not a study":     func(float64) (*stackup.Study, error) { return &stackup.Study{}, nil },
		"another input":   func(float64) (*stackup.Study, error) { return s.With(stacktest.Normal("c", 0, 1)), nil },
		"too many shifts": shift(s, 0, 1, 1),
	} {
		if _, err := stackup.HowFar(context.Background(), study, good, stackup.Settings{Samples: 2048}); !stacktest.Refused(err) {
			t.Errorf("%s: %v", name, err)
		}
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	for _, share := range []float64{0.9, 1} {
		good.Share = share
		if _, err := stackup.HowFar(ctx, spread(s, 0), good, stackup.Settings{Samples: 2048}); !errors.Is(err, context.Canceled) {
			t.Error(err)
		}
	}
}

// Several inputs together. Source: hand calculation: a sum of independent normal deviations with sd √(a² s² + b² t²)
// holds the limit at Φ(2) where that is half of it.
func TestHowFar_together(t *testing.T) {
	s := stacktest.Limited() // sd 0.2 and 0.3, limit 1
	set := stackup.Settings{Samples: 1 << 16, Seed: 2}
	ask := stackup.Question{From: 0.5, To: 3, Share: 1 - stacktest.Upper(2)}
	both := func(weight float64) func(float64) (*stackup.Study, error) {
		return func(v float64) (*stackup.Study, error) {
			a, bad := s.Inputs[0].Scaled(v)
			b, err := s.Inputs[1].Scaled(1 + weight*(v-1))
			return s.With(a, b), errors.Join(bad, err)
		}
	}
	l := howFar(t, both(1), ask, set)
	check.Near(t, "one factor", l.Value, 0.5/math.Hypot(0.2, 0.3), 4*l.Error)
	// b grows half as fast: 0.04 (1 + d)² + 0.09 (1 + d/2)² = 0.25
	l = howFar(t, both(0.5), ask, set)
	a, b, c := 0.04+0.09/4, 2*0.04+0.09, 0.04+0.09-0.25
	check.Near(t, "half as fast", l.Value, 1+(-b+math.Sqrt(b*b-4*a*c))/(2*a), 4*l.Error)
}
