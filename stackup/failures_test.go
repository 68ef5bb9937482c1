package stackup_test

import (
	"context"
	"math"
	"reflect"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// The sum of two normal deviations beyond a limit: the chance of the tail of one given failure is an integral over it; the third input has nothing to do with it.
func TestStudy_FailureTails_normalSum(t *testing.T) {
	w := stackup.Response{Name: "sum"}
	w.Limits = tolerance.AtMost(3)
	s := &stackup.Study{
		Model:     stacktest.One(5, func(x []float64) float64 { return x[0] + x[1] + x[3] }),
		Inputs:    []stackup.Input{stacktest.Normal("a", 0, 1), stacktest.Normal("b", 0, 0.5), stacktest.Uniform("c", 0, 1), {Name: "d", Joint: stacktest.Must(law.NewBivariate(0, 0, 0.25, 4, 0))}},
		Responses: []stackup.Response{w, {Name: "no limits"}},
	}
	got, err := s.FailureTails(context.Background(), stackup.Settings{Samples: 200_000, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 1 || got[0].Name != "sum" || len(got[0].Tails) != 5 {
		t.Fatalf("%+v", got)
	}
	// Source: Bayes: P(x in tail, x + rest > 3)/(P(x in tail) P(sum > 3)), the trapezoid rule over x ~ N(0, sd²) with rest normal
	ratio := func(sd float64) float64 {
		rest := math.Sqrt(1.5 - sd*sd)
		const cut, pitch = 1.2815515655446004, 1e-4
		var in float64
		for k := range 70000 {
			z := cut + (float64(k)+0.5)*pitch
			in += math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) * math.Erfc((3-sd*z)/rest/math.Sqrt2) / 2 * pitch
		}
		return in / 0.1 / (math.Erfc(3/math.Sqrt(1.5)/math.Sqrt2) / 2)
	}
	for i, want := range []float64{ratio(1), ratio(0.5), 1, ratio(0.5), 1} {
		u := got[0].Tails[i].Upper
		if math.Abs(u.Value-want) > 4*u.Error || u.Error > 0.2 || !(u.Interval[0] < u.Value && u.Value < u.Interval[1]) {
			t.Errorf("%d: %+v, want %v", i, got[0].Tails[i], want)
		}
	}
	if l := got[0].Tails[0].Lower; l.Value > 0.01 {
		t.Errorf("lower tail: %+v", l)
	}
	again, err := s.FailureTails(context.Background(), stackup.Settings{Samples: 200_000, Seed: 1, Workers: 3})
	if err != nil || !reflect.DeepEqual(got, again) {
		t.Error("other numbers on other workers: ", err)
	}
}

func TestStudy_FailureTails_none(t *testing.T) {
	w := stackup.Response{Name: "y"}
	w.Limits = tolerance.AtMost(100)
	s := &stackup.Study{
		Model:  stacktest.One(2, stacktest.Sum),
		Inputs: []stackup.Input{stacktest.Normal("a", 0, 1), stacktest.Normal("constant", 0, 0)}, Responses: []stackup.Response{w},
	}
	got, err := s.FailureTails(context.Background(), stackup.Settings{Samples: 1000})
	if err != nil {
		t.Fatal(err)
	}
	u := got[0].Tails[0].Upper
	if got[0].Failed != 0 || u.Value != 1 || u.Interval[0] != 0 || math.Abs(u.Interval[1]-10) > 1e-9 {
		t.Errorf("%+v", got[0])
	}
	// a constant is always in its tail
	if u := got[0].Tails[1].Lower; u.Value != 1 {
		t.Errorf("%+v", u)
	}
}
