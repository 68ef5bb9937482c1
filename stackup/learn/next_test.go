package learn_test

import (
	"context"
	"errors"
	"math"
	"reflect"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
	"example.com/borestack/stackup/learn"
)

func next(t testing.TB, s *stackup.Study, set stackup.Settings) (learn.Worth, []learn.Worth) {
	t.Helper()
	now, each, err := learn.Next(context.Background(), s, 0, set)
	if err != nil {
		t.Fatal(err)
	}
	return now, each
}

// For a linear model of normal laws, samples agree with the closed form.
func TestStudy_NextMeasurement_linear(t *testing.T) {
	s := &stackup.Study{
		Model:     stacktest.One(4, func(x []float64) float64 { return 3 + x[0] + 2*x[1] + 0.5*x[2] - x[3] }),
		Inputs:    []stackup.Input{stacktest.Normal("a", 0, 1), stacktest.Normal("b", 0, 1), {Name: "p", Joint: stacktest.Must(law.NewBivariate(0, 0, 1, 1, 0.5))}},
		Responses: []stackup.Response{stacktest.Greatest("y", 4)},
	}
	// Source: hand calculation: variances 1, 4 and 0.25 + 1 − 0.5; an input known twice as well loses 3/4 of its own,
	// which then is the variance of the mean; the doubt is E min(Φ, 1 − Φ) over that, by the trapezoid rule
	const variance = 1 + 4 + 0.75
	expected := func(gone float64) (sd, doubt float64) {
		rest := math.Sqrt(variance - gone)
		for z := -8.0; z <= 8; z += 1.0 / 256 {
			p := stacktest.Upper((1 - z*math.Sqrt(gone)) / rest)
			doubt += math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) / 256 * math.Min(p, 1-p)
		}
		return rest, doubt
	}
	hits, all := 0, 0
	for seed := range 10 {
		now, each := next(t, s, stackup.Settings{Samples: 1 << 17, Seed: uint64(seed)})
		check := func(f stackup.Figure, want float64) {
			all++
			if f.Interval[0] <= want && want <= f.Interval[1] {
				hits++
			}
			const bias = 1e-3 // of a doubt from shares of finite samples
			if math.Abs(f.Value-want) > 4.5*f.Error+bias || f.Error > 0.01 {
				t.Errorf("%+v, want %v", f, want)
			}
		}
		sd, doubt := expected(0)
		check(now.SD, sd)
		check(now.Doubt, doubt)
		for k, own := range []float64{4, 1, 0.75} {
			if each[k].Input != []string{"b", "a", "p"}[k] {
				t.Fatalf("%+v", each)
			}
			sd, doubt := expected(0.75 * own)
			check(each[k].SD, sd)
			check(each[k].Doubt, doubt)
		}
	}
	if !stacktest.WithinBinomial(hits, all, 0.95) {
		t.Errorf("%d of %d intervals hold the true value", hits, all)
	}
}

// The length of two offsets, which has no slope at zero: the wider one is to be measured.
func TestStudy_NextMeasurement_size(t *testing.T) {
	s := &stackup.Study{
		Model:     stacktest.One(4, func(x []float64) float64 { return math.Hypot(x[0]+x[2], x[1]+x[3]) }),
		Inputs:    []stackup.Input{{Name: "narrow", Joint: stacktest.Must(law.NewDisc(0, 0, 1))}, {Name: "wide", Joint: stacktest.Must(law.NewDisc(0, 0, 3))}},
		Responses: []stackup.Response{stacktest.Greatest("size", 2)},
	}
	now, each := next(t, s, stackup.Settings{Samples: 1 << 16, Seed: 1})
	if each[0].Input != "wide" || !(each[0].SD.Interval[1] < each[1].SD.Interval[0]) || !(each[1].Doubt.Value < now.Doubt.Interval[1]) || !(each[0].Doubt.Interval[1] < now.Doubt.Interval[0]) {
		t.Errorf("%+v %+v", now, each)
	}
	again, more := next(t, s, stackup.Settings{Samples: 1 << 16, Seed: 1, Workers: 3})
	if again != now || !reflect.DeepEqual(each, more) {
		t.Error("other numbers on other workers")
	}
}

func TestStudy_NextMeasurement_errors(t *testing.T) {
	s := stacktest.Limited()
	ctx := context.Background()
	if _, _, err := learn.Next(ctx, s, 1, stackup.Settings{Samples: 1 << 16}); !stacktest.Refused(err) {
		t.Error(err)
	}
	if _, _, err := learn.Next(ctx, s, 0, stackup.Settings{Samples: 1 << 10}); !stacktest.Refused(err) {
		t.Error(err)
	}
	stopped, stop := context.WithCancel(ctx)
	stop()
	if _, _, err := learn.Next(stopped, s, 0, stackup.Settings{Samples: 1 << 16}); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	s.Model = stacktest.One(2, func([]float64) float64 { return math.Inf(1) })
	if _, _, err := learn.Next(ctx, s, 0, stackup.Settings{Samples: 1 << 16}); !errors.Is(err, fault.ErrNotFinite) {
		t.Error(err)
	}
	s.Inputs = []stackup.Input{{Name: "o", Joint: stacktest.Opaque{Joint: stacktest.Must(law.NewDisc(0, 0, 1))}}}
	if _, _, err := learn.Next(ctx, s, 0, stackup.Settings{Samples: 1 << 16}); !stacktest.Refused(err) {
		t.Error(err)
	}
}
