package stackup_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

func howFar(t testing.TB, s *stackup.Study, q stackup.Question, set stackup.Settings) stackup.Leeway {
	t.Helper()
	l, err := s.HowFar(context.Background(), q, set)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestStudy_HowFar_coverage(t *testing.T) {
	s := stacktest.Limited()
	z := law.StandardQuantile(0.99)
	for _, c := range []struct {
		q    stackup.Question
		want float64 // Source: hand calculation: shift + 2.326 √(a² + b²) = 1
	}{
		{stackup.Question{Input: "a", Change: stackup.ChangeSpread, From: 0.5, To: 4, Share: 0.99}, math.Sqrt(1/z/z-0.09) / 0.2},
		{stackup.Question{Input: "b", Change: stackup.ChangeShift, From: 0, To: 1, Share: 0.99}, 1 - z*math.Sqrt(0.13)},
	} {
		hits := 0
		var bias float64
		const repeats = 250
		for seed := range repeats {
			l := howFar(t, s, c.q, stackup.Settings{Samples: 2048, Seed: uint64(seed)})
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
	spread := math.Sqrt(1/z/z-0.09) / 0.2 // a's factor where 1 = zσ
	for _, c := range []struct {
		q    stackup.Question
		want float64
	}{
		{stackup.Question{Input: "b", Change: stackup.ChangeShift, From: 0, To: 1, Share: p}, share * math.Sqrt(0.13) / density},
		{stackup.Question{Input: "a", Change: stackup.ChangeSpread, From: 0.5, To: 6, Share: p}, share / (density * z * z * z * 0.04 * spread)},
	} {
		var mean float64
		for seed := range uint64(seeds) {
			mean += howFar(t, s, c.q, stackup.Settings{Samples: n, Seed: seed}).Error / seeds
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
		Inputs: []stackup.Input{{Name: "p", Plane: stacktest.Must(law.NewDisc(0, 0, 0.5))}}, Responses: []stackup.Response{w},
	}
	l := howFar(t, s, stackup.Question{Input: "p", Change: stackup.ChangeSpread, From: 1, To: 4, Share: 0.8}, stackup.Settings{Samples: 20000, Seed: 1})
	want := 2 / math.Sqrt(0.8) // Source: hand calculation: share 1/(t/2)² within
	if math.Abs(l.Value-want) > 4*l.Error || l.Error > 0.02 {
		t.Errorf("%+v, want %v", l, want)
	}
	// Source: hand calculation: a disc of radius 0.5 reaches 1 when shifted by 0.5 any way
	l = howFar(t, s, stackup.Question{Input: "p", Change: stackup.ChangeShift, From: 0, To: -2, Angle: 0.3, Share: 1}, stackup.Settings{})
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
	ask := stackup.Question{Input: "a", Change: stackup.ChangeSpread, From: 1, To: 8, Share: 1}
	// Source: hand calculation: −t − 0.5 ≥ −2
	if l := howFar(t, s, ask, stackup.Settings{}); math.Abs(l.Value-1.5) > 1e-9 {
		t.Errorf("%+v", l)
	}
	s.Responses[0].Limits = tolerance.Between(-100, 100) // Source: hand calculation: 5 − t ≥ 1
	if l := howFar(t, s, ask, stackup.Settings{}); math.Abs(l.Value-4) > 1e-9 {
		t.Errorf("%+v", l)
	}
	ask.To = 3
	if l := howFar(t, s, ask, stackup.Settings{}); !l.AlwaysHeld || l.Value != 3 || l.Crossings != 0 {
		t.Errorf("%+v", l)
	}
	ask.From, ask.To = 5, 6
	if l := howFar(t, s, ask, stackup.Settings{}); !l.NeverHeld || l.Value != 5 {
		t.Errorf("%+v", l)
	}
}

func TestStudy_HowFar_ends(t *testing.T) {
	s := stacktest.Limited()
	ask := stackup.Question{Input: "a", Change: stackup.ChangeSpread, From: 0, To: 1, Share: 0.9}
	if l := howFar(t, s, ask, stackup.Settings{Samples: 2048}); !l.AlwaysHeld || l.Value != 1 {
		t.Errorf("%+v", l)
	}
	ask.From, ask.To = 50, 60
	if l := howFar(t, s, ask, stackup.Settings{Samples: 2048}); !l.NeverHeld || l.Value != 50 {
		t.Errorf("%+v", l)
	}
	// held only between: the first loss
	s.Responses[0].Limits.Least = tolerance.Given(-1.0)
	ask = stackup.Question{Input: "b", Change: stackup.ChangeShift, From: 0, To: -3, Share: 0.9}
	l := howFar(t, s, ask, stackup.Settings{Samples: 1 << 14, Workers: 3})
	if again := howFar(t, s, ask, stackup.Settings{Samples: 1 << 14, Workers: 1}); again != l {
		t.Error("other numbers on other workers")
	}
	want := -(1 - law.StandardQuantile(0.9)*math.Sqrt(0.13))
	if math.Abs(l.Value-want) > 4*l.Error || !(l.Interval[0] < l.Value && l.Value < l.Interval[1]) {
		t.Errorf("%+v, want %v", l, want)
	}
}

func TestStudy_HowFar_errors(t *testing.T) {
	s := stacktest.Limited()
	good := stackup.Question{Input: "a", Change: stackup.ChangeSpread, From: 0, To: 1, Share: 0.9}
	for name, change := range map[string]func(*stackup.Question){
		"input":  func(q *stackup.Question) { q.Input = "x" },
		"change": func(q *stackup.Question) { q.Change = 0 },
		"share":  func(q *stackup.Question) { q.Share = 1.1 },
		"from":   func(q *stackup.Question) { q.From = -1 },
		"range":  func(q *stackup.Question) { q.From = 1 },
		"wanted": func(q *stackup.Question) { q.Response = 1 },
		"worst":  func(q *stackup.Question) { q.Share = 1 }, // normal laws have none
	} {
		q := good
		change(&q)
		if _, err := s.HowFar(context.Background(), q, stackup.Settings{Samples: 2048}); !stacktest.Refused(err) {
			t.Errorf("%s: %v", name, err)
		}
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	for _, share := range []float64{0.9, 1} {
		good.Share = share
		if _, err := s.HowFar(ctx, good, stackup.Settings{Samples: 2048}); !errors.Is(err, context.Canceled) {
			t.Error(err)
		}
	}
}
