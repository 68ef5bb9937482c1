package stackup_test

import (
	"context"
	"errors"
	"math"
	"reflect"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// stacks are two gaps of normal and uniform deviations, the second with one law narrower and of another kind, and the inputs in another order.
func stacks() (a, b *stackup.Study) {
	w := stackup.Response{Name: "gap"}
	w.Limits = tolerance.AtMost(0.8)
	a = &stackup.Study{
		Model:  stacktest.One(3, func(x []float64) float64 { return x[0] + 2*x[1] + x[2] }),
		Inputs: []stackup.Input{stacktest.Normal("a", 0, 0.5), stacktest.Normal("b", 0, 0.1), stacktest.Normal("c", 0, 0.3)}, Responses: []stackup.Response{w},
	}
	b = &stackup.Study{
		Model:  stacktest.One(3, func(x []float64) float64 { return x[2] + 2*x[1] + x[0] }),
		Inputs: []stackup.Input{stacktest.Normal("c", 0.05, 0.29), stacktest.Normal("b", 0, 0.1), stacktest.Normal("a", 0, 0.5)}, Responses: []stackup.Response{w},
	}
	return a, b
}

func compare(t testing.TB, a, b *stackup.Study, set stackup.Settings) *stackup.Comparison {
	t.Helper()
	c, err := stackup.Compare(context.Background(), a, b, set)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// scaled is a study whose first input spreads wider.
func scaled(s *stackup.Study, by float64) *stackup.Study {
	s.Inputs[0] = stacktest.Must(s.Inputs[0].Scaled(by))
	return s
}

func TestCompare_coverage(t *testing.T) {
	a, b := stacks()
	sa, sb := math.Sqrt(0.25+0.04+0.09), math.Sqrt(0.25+0.04+0.29*0.29)
	phi := func(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }
	// Source: hand calculation: sums of normal deviations are normal
	want := []float64{0.05, sb - sa, phi(0.75/sb) - phi(0.8/sa)}
	hits := make([]int, len(want))
	bias := make([]float64, len(want))
	for seed := range repeats {
		c := compare(t, a, b, stackup.Settings{Samples: 2048, Seed: uint64(seed)})
		d := c.Difference(0)
		for k, f := range []stackup.Figure{d.Mean, d.SD, d.Yield} {
			if f.Interval[0] <= want[k] && want[k] <= f.Interval[1] {
				hits[k]++
			}
			bias[k] += (f.Value - want[k]) / f.Error
		}
	}
	for k, h := range hits {
		share := 0.95
		if !stacktest.WithinBinomial(h, repeats, share) {
			t.Errorf("figure %d: %d of %d intervals hold the true value", k, h, repeats)
		}
		if m := bias[k] / math.Sqrt(repeats); math.Abs(m) > 4.5 {
			t.Errorf("figure %d: biased by %.1f standard errors of the mean", k, m)
		}
	}
}

// Common numbers: the difference of means is far better known than each mean.
func TestCompare_commonNumbers(t *testing.T) {
	a, b := stacks()
	set := stackup.Settings{Samples: 20000, Seed: 4}
	got := compare(t, a, b, set).Difference(0).Mean.Error
	apart := run(t, a, set).Summary(0).MeanError * math.Sqrt2
	if got > apart/20 {
		t.Errorf("error %v, of unlike draws %v", got, apart)
	}
	same := compare(t, a, a, set).Difference(0)
	if same.Mean.Value != 0 || same.Mean.Error != 0 || same.SD.Error != 0 || same.Yield.Value != 0 {
		t.Errorf("a study against itself: %+v", same)
	}
	// a law of another kind keeps its rank
	b.Inputs[0] = stacktest.Uniform("c", -0.3*math.Sqrt(3), 0.3*math.Sqrt(3))
	if got := compare(t, a, b, set).Difference(0).Mean.Error; got > apart/4 {
		t.Errorf("another kind of law: error %v, of unlike draws %v", got, apart)
	}
}

func TestCompare_planes(t *testing.T) {
	w := stackup.Response{Name: "size"}
	with := func(p law.Joint, more ...stackup.Input) *stackup.Study {
		return &stackup.Study{
			Model:  stacktest.One(2+len(more), func(x []float64) float64 { return math.Hypot(x[0], x[1]) + stacktest.Sum(x[2:]) }),
			Inputs: append([]stackup.Input{{Name: "p", Joint: p}}, more...), Responses: []stackup.Response{w},
		}
	}
	disc := stacktest.Must(law.NewDisc(0, 0, 1))
	c := compare(t, with(disc), scaled(with(disc), 1.1), stackup.Settings{Samples: 20000, Seed: 4})
	// Source: hand calculation: a disc's mean radius is 2/3 of its radius; its median 1/√2
	if d := c.Difference(0).Mean; math.Abs(d.Value-0.2/3) > 4*d.Error || d.Error > 3e-4 {
		t.Error(d)
	}
	d := compare(t, with(disc), with(disc, stacktest.Normal("new", 0.5, 0.1)), stackup.Settings{Samples: 20000, Seed: 4}).Difference(0).Mean
	if math.Abs(d.Value-0.5) > 4*d.Error || math.Abs(d.Error-0.1/math.Sqrt(20000)) > 2e-5 {
		t.Error(d)
	}
}

func TestCompare_errors(t *testing.T) {
	a, b := stacks()
	if one, many := compare(t, a, b, stackup.Settings{Samples: 5000, Workers: 1}), compare(t, a, b, stackup.Settings{Samples: 5000, Workers: 4}); !reflect.DeepEqual(one, many) {
		t.Error("other numbers on other workers")
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := stackup.Compare(ctx, a, b, stackup.Settings{Samples: 5000}); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	b.Responses[0].Name = "other"
	if _, err := stackup.Compare(context.Background(), a, b, stackup.Settings{Samples: 5000}); !stacktest.Refused(err) {
		t.Error(err)
	}
	b.Responses = nil
	if _, err := stackup.Compare(context.Background(), a, b, stackup.Settings{Samples: 5000}); !stacktest.Refused(err) {
		t.Error(err)
	}
}

// A law that cannot be made of normal numbers is drawn from the same stream for both, and a pair is scaled law by law.
func TestCompare_opaqueAndPair(t *testing.T) {
	study := func(p law.Joint) *stackup.Study {
		return &stackup.Study{
			Model:  stacktest.One(2, func(x []float64) float64 { return x[0] + x[1] }),
			Inputs: []stackup.Input{{Name: "p", Joint: p}}, Responses: []stackup.Response{{Name: "y"}},
		}
	}
	a, b := study(stacktest.Opaque{Joint: stacktest.Must(law.NewDisc(0, 0, 1))}), study(stacktest.Opaque{Joint: stacktest.Must(law.NewDisc(0, 0, 1.1))})
	d := compare(t, a, b, stackup.Settings{Samples: 20000})
	// Source: hand calculation: the sum has sd √(2 r²/4)
	if f := d.Difference(0).SD; math.Abs(f.Value-0.1/math.Sqrt2) > 4*f.Error || f.Error > 1e-3 {
		t.Error(f)
	}
	pair := law.Independent{stacktest.Must(law.NewUniform(-1, 1)), stacktest.Must(law.NewNormal(1, 2))}
	d = compare(t, study(pair), scaled(study(pair), 2), stackup.Settings{Samples: 20000})
	// Source: hand calculation: sd √(1/3 + 4), doubled
	if f := d.Difference(0).SD; math.Abs(f.Value-math.Sqrt(1.0/3+4)) > 4*f.Error {
		t.Error(f)
	}
	for _, bad := range []float64{-1, math.NaN()} {
		if _, err := study(pair).Inputs[0].Scaled(bad); !stacktest.Refused(err) {
			t.Error(err)
		}
	}
	if _, err := study(pair).Inputs[0].Shifted(math.Inf(1), 0); !stacktest.Refused(err) {
		t.Error(err)
	}
	if _, err := study(pair).Inputs[0].Shifted(1); !stacktest.Refused(err) {
		t.Error(err)
	}
	none := study(pair)
	none.Model = stacktest.One(2, func([]float64) float64 { return 3 })
	if x := indices(t, none, stackup.Settings{Samples: 2048}).Of(0); x[0].First.Value != 0 || x[0].Total.Value != 0 {
		t.Errorf("nothing varies: %+v", x)
	}
}
