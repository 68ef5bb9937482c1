package rare_test

import (
	"context"
	"flag"
	"math"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/estimate"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
	"example.com/borestack/stackup/rare"
	"example.com/borestack/tolerance"
)

// A size is never less than zero: a least limit there, or so little above it that hardly anything lies below, is reached by no failure and hides no other.
func TestStudy_RareFailures_sizeWithLeastLimit(t *testing.T) {
	for _, least := range []float64{0, 1e-300, 1e-20, 1e-12, 1e-6, 1e-4} {
		for _, greatest := range []float64{0.24, 0.28, 0.32} {
			want := stacktest.RunoutBeyond(greatest) + 1 - stacktest.RunoutBeyond(least)
			r := failures(t, stacktest.Runout(tolerance.Between(least, greatest)), stackup.Settings{Samples: 8192, Seed: 1})
			f := r.Failure
			missed := 0.0 // of the way that is too small to be found
			if least <= 1e-6 {
				missed = 1 - stacktest.RunoutBeyond(least)
			}
			if !(f.Error > 0) || !(f.Interval[1] > f.Interval[0]) || math.Abs(f.Value-want) > 4*f.Error+missed {
				t.Errorf("%g to %g: %+v, want %.3g", least, greatest, r, want)
			}
		}
	}
	// Source: Rice's law with unequal variances, worked out apart by quadrature to these digits
	for limit, want := range map[float64]float64{0.24: 2.92e-5, 0.28: 6.77e-7, 0.32: 8.8e-9} {
		if got := stacktest.RunoutBeyond(limit); math.Abs(got/want-1) > 0.01 {
			t.Errorf("beyond %v: %.4g, want %.4g", limit, got, want)
		}
	}
}

// Failures behind a wall that no sample and no slope meets: an interval, a doubt, and a goal that is not reached.
func TestRare_sawNoFailure(t *testing.T) {
	s := &stackup.Study{ // fails in a spike, some 2e-6 wide, that a line through two samples never meets
		Model: stacktest.One(2, func(x []float64) float64 {
			if math.Abs(x[0]-3) < 1e-6 {
				return 1
			}
			return 0.2 - 0.1*math.Exp(-(x[0]-3)*(x[0]-3))
		}),
		Inputs:    []stackup.Input{stacktest.Normal("a", 0, 1), stacktest.Normal("b", 0, 1)},
		Responses: []stackup.Response{{Name: "y", Limits: tolerance.Between(0.1-1e-13, 0.5)}},
	}
	r, err := rare.Failures(context.Background(), s, 0, stackup.Settings{Samples: 8192, Seed: 1})
	if err == nil && (r.Failure.Error == 0 || r.Failure.Interval[1] == 0 || r.Doubt == "") {
		t.Errorf("%+v", r)
	}
	e := stacktest.Must(estimate.Run(context.Background(), s, estimate.Goal{Of: estimate.OfYield, Error: 1e-6}, stackup.Settings{Samples: 100000, Seed: 1}))
	if e.Error == 0 || e.Interval[0] == 1 || e.Reached {
		t.Errorf("%+v", e)
	}
}

// rareRepeats are the seeds of each case: 200 in full.
var rareRepeats = flag.Int("rare.repeats", 5, "seeds for each case of TestStudy_RareFailures_coverage")

// Chances of 1e-3 to 1e-9 that are known, of a limit that is flat, all round, and in two modes: the intervals
// hold them as often as they say, and are never of no width.
func TestStudy_RareFailures_coverage(t *testing.T) {
	all, hits := 0, 0
	for power := 3; power <= 9; power++ {
		p := math.Pow10(-power)
		for name, s := range rareKnown(p) {
			held, doubts := 0, 0
			for seed := range *rareRepeats {
				r := failures(t, s, stackup.Settings{Samples: 4096, Seed: uint64(1000*power + seed)}) // other draws for each chance
				f := r.Failure
				if !(f.Error > 0) || !(f.Interval[0] < f.Interval[1]) {
					t.Errorf("%s, %g, seed %d: %+v", name, p, seed, f)
				}
				if stacktest.Holds(f, p) {
					held++
				}
				if r.Doubt != "" {
					doubts++
				}
			}
			if !stacktest.WithinBinomial(held, *rareRepeats, 0.95) {
				t.Errorf("%s, %g: %d of %d intervals hold it", name, p, held, *rareRepeats)
			}
			if *rareRepeats >= 200 {
				t.Logf("%-9s %g: %d of %d intervals hold it, %d in doubt", name, p, held, *rareRepeats, doubts)
			}
			all, hits = all+*rareRepeats, hits+held
		}
	}
	if share := float64(hits) / float64(all); share < 0.93 && !stacktest.WithinBinomial(hits, all, 0.95) {
		t.Errorf("%d of %d intervals hold the true chance", hits, all)
	}
}

// rareKnown are studies that fail with chance p.
func rareKnown(p float64) map[string]*stackup.Study {
	sd := math.Sqrt(0.03*0.03 + 0.04*0.04 + 0.02*0.02)
	size := stacktest.Must(law.NewNormalSize(0, 0, 0.0265*0.0265, 0.026*0.026, 0))
	// Source: hand calculation: 1 − (1 − q)(1 − 4q) = p for independent modes q and 4q
	q := 2 * p / (5 + math.Sqrt(25-16*p))
	return map[string]*stackup.Study{
		// Source: hand calculation: the sum of three normal deviations
		"linear": {
			Model: stacktest.One(3, stacktest.Sum), Inputs: []stackup.Input{stacktest.Normal("a", 0, 0.03), stacktest.Normal("b", 0, 0.04), stacktest.Normal("c", 0, 0.02)},
			Responses: []stackup.Response{stacktest.Greatest("sum", -law.StandardQuantile(p)*sd)},
		},
		"size": stacktest.Runout(tolerance.Between(0, 2*size.UpperQuantile(p))), // Source: the law of the size, by quadrature
		"two modes": {
			Model: stacktest.One(2, func(x []float64) float64 {
				return math.Max(x[0]+law.StandardQuantile(q), -x[1]+law.StandardQuantile(4*q))
			}),
			Inputs: []stackup.Input{stacktest.Normal("a", 0, 1), stacktest.Normal("b", 0, 1)}, Responses: []stackup.Response{stacktest.Greatest("either", 0)},
		},
	}
}

// A speck of failures at the medians, found by the search and too small to be drawn: it hides no other way to fail, widens the interval to hold the truth, and is a doubt, with which a goal is answered otherwise.
func TestRare_specks(t *testing.T) {
	const speck = 1e-4
	both := stacktest.Runout(tolerance.Between(speck, 0.28))
	want := stacktest.RunoutBeyond(0.28) + 1 - stacktest.RunoutBeyond(speck)
	r := failures(t, both, stackup.Settings{Samples: 8192, Seed: 1})
	far := false
	for _, p := range r.Points {
		far = far || p.Side == rare.SideGreatest
	}
	if !far || r.Doubt == "" || !stacktest.Holds(r.Failure, want) || r.Failure.Value < stacktest.RunoutBeyond(0.28)/2 {
		t.Errorf("%+v, want %.3g", r, want)
	}
	e := stacktest.Must(estimate.Run(context.Background(), both, estimate.Goal{Of: estimate.OfYield, Error: 2e-3}, stackup.Settings{Samples: 100000, Seed: 1}))
	if e.Method != estimate.ByRandom || !stacktest.Holds(e.Figure, 1-want) || e.Error > 2e-3 {
		t.Errorf("%+v", e)
	}
	alone := stacktest.Runout(tolerance.AtLeast(speck))
	want = 1 - stacktest.RunoutBeyond(speck)
	r = failures(t, alone, stackup.Settings{Samples: 8192, Seed: 1})
	if f := r.Failure; r.Doubt == "" || !(f.Error > 0) || !stacktest.Holds(f, want) {
		t.Errorf("%+v, want %.3g", r, want)
	}
}

// A size whose components scatter nearly alike fails nearly all round, and slopes lead to its two ends alone: what lies
// between them is not missed.
//
// Source: Rice's law with unequal variances, by quadrature.
func TestFailures_nearlyRound(t *testing.T) {
	const repeats = 20
	for _, limit := range []float64{0.3, 0.32} {
		want, held := stacktest.RunoutBeyond(limit), 0
		for seed := range uint64(repeats) {
			r := failures(t, stacktest.Runout(tolerance.AtMost(limit)), stackup.Settings{Samples: 8192, Seed: seed})
			if stacktest.Holds(r.Failure, want) {
				held++
			}
			if short := 1 - r.Failure.Value/want; r.Doubt == "" && short > 0.05 {
				t.Errorf("%v, seed %d: %.0f %% short, and no doubt", limit, seed, 100*short)
			}
		}
		if !stacktest.WithinBinomial(held, repeats, 0.95) {
			t.Errorf("%v: %d of %d intervals hold it", limit, held, repeats)
		}
	}
}
