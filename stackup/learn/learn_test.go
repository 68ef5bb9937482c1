package learn_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
	"example.com/borestack/stackup/learn"
	"example.com/borestack/tolerance"
)

// An observation of x itself: the weighted mean of prior and reading.
func TestLinear_Learn_oneNumber(t *testing.T) {
	s := &stackup.Study{Model: stacktest.One(1, stacktest.Sum), Inputs: []stackup.Input{stacktest.Normal("x", 1, 2)}}
	b := stacktest.Must(learn.FromLinear(s, stacktest.Must(s.Linearise(context.Background())), learn.Observation{Value: 4, Uncertainty: 1}))
	// Source: hand calculation, e.g. JCGM 106:2012, 6: weights 1/4 and 1: (1/4 + 4)/(5/4), variance 4/5; surprise 3/√5
	if math.Abs(b.Mean[0]-3.4) > 1e-12 || math.Abs(b.Covariance[0][0]-0.8) > 1e-12 || math.Abs(b.Surprise[0]-3/math.Sqrt(5)) > 1e-12 {
		t.Errorf("%+v", b)
	}
}

// Observations of several outputs give the belief of the information form, whatever their order.
func TestLinear_Learn_informationForm(t *testing.T) {
	s := &stackup.Study{
		Model: stackup.Func{In: 3, Out: 2, Of: func(y, x []float64) error {
			y[0], y[1] = 10+x[0]+2*x[1], x[1]-3*x[2]
			return nil
		}},
		Inputs: []stackup.Input{stacktest.Normal("a", 0.5, 1), {Name: "b", Plane: stacktest.Must(law.NewBivariate(0, 1, 4, 1, 0.5))}},
	}
	l := stacktest.Must(s.Linearise(context.Background()))
	readings := []learn.Observation{{Output: 0, Value: 13, Uncertainty: 0.5}, {Output: 1, Value: -1, Uncertainty: 2}, {Output: 0, Value: 12, Uncertainty: 1}}
	b := stacktest.Must(learn.FromLinear(s, l, readings...))
	// Source: normal equations: (P⁻¹ + Σ hhᵀ/u²) m = P⁻¹ m₀ + Σ h v/u²; the covariance times that matrix is 1
	det := 4*1 - 0.25
	info := [3][3]float64{{1, 0, 0}, {0, 1 / det, -0.5 / det}, {0, -0.5 / det, 4 / det}}
	m0 := [3]float64{0.5, 0, 1}
	var right [3]float64
	for i := range right {
		for j := range m0 {
			right[i] += info[i][j] * m0[j]
		}
	}
	for _, o := range readings {
		w := 1 / (o.Uncertainty * o.Uncertainty)
		for i := range right {
			right[i] += w * l.Gain[o.Output][i] * (o.Value - l.At[o.Output])
			for j := range right {
				info[i][j] += w * l.Gain[o.Output][i] * l.Gain[o.Output][j]
			}
		}
	}
	for i := range info {
		var got float64
		for j := range info {
			got += info[i][j] * b.Mean[j]
			var unit float64
			for k := range info {
				unit += info[i][k] * b.Covariance[k][j]
			}
			want := 0.0
			if i == j {
				want = 1
			}
			if math.Abs(unit-want) > 1e-9 {
				t.Errorf("information times covariance, %d %d: %v", i, j, unit)
			}
		}
		if math.Abs(got-right[i]) > 1e-9 {
			t.Errorf("mean, row %d: %v, want %v", i, got, right[i])
		}
	}
	other := stacktest.Must(learn.FromLinear(s, l, readings[2], readings[1], readings[0]))
	for i := range b.Mean {
		if math.Abs(b.Mean[i]-other.Mean[i]) > 1e-12 {
			t.Error("another order, another belief")
		}
	}
	if mean, sd := b.Output(l, 0); !(sd < 0.5) || math.Abs(mean-12.8) > 0.3 {
		t.Error(mean, sd)
	}
	exact := stacktest.Must(learn.FromLinear(s, l, learn.Observation{Output: 1, Value: 7}))
	if mean, sd := exact.Output(l, 1); math.Abs(mean-7) > 1e-9 || sd > 1e-6 {
		t.Error(mean, sd)
	}
	// two exact readings that differ: an error, unless rounding leaves a trace of variance, and then an immense surprise
	if b, err := learn.FromLinear(s, l, learn.Observation{Output: 1, Value: 7}, learn.Observation{Output: 1, Value: 8}); err == nil && math.Abs(b.Surprise[1]) < 1e3 {
		t.Error("two exact readings that differ")
	}
}

func TestLinear_Learn_errors(t *testing.T) {
	s := &stackup.Study{Model: stacktest.One(2, stacktest.Sum), Inputs: []stackup.Input{stacktest.Normal("x", 1, 2), stacktest.Normal("y", 0, 0)}}
	l := stacktest.Must(s.Linearise(context.Background()))
	for _, o := range []learn.Observation{{Output: 1}, {Value: math.NaN()}, {Uncertainty: -1}} {
		if _, err := learn.FromLinear(s, l, o); !errors.Is(err, stackup.ErrStudy) {
			t.Errorf("%+v: %v", o, err)
		}
	}
	s.Inputs[0] = stacktest.Normal("x", 1, 0)
	l = stacktest.Must(s.Linearise(context.Background()))
	if _, err := learn.FromLinear(s, l, learn.Observation{Value: 1}); !errors.Is(err, stackup.ErrStudy) {
		t.Error(err)
	}
	s.Inputs[0].Law = stacktest.Must(law.NewStudent(0, 1, 1))
	if _, err := learn.FromLinear(s, l, learn.Observation{Value: 1, Uncertainty: 1}); !errors.Is(err, stackup.ErrStudy) {
		t.Error(err)
	}
}

func TestLinear_NextMeasurement(t *testing.T) {
	w := stacktest.Greatest("y", 3)
	s := &stackup.Study{
		Model:  stacktest.One(3, func(x []float64) float64 { return 3 + x[0] + 2*x[1] }),
		Inputs: []stackup.Input{stacktest.Normal("a", 0, 1), stacktest.Normal("b", 0, 1), stacktest.Normal("none", 0, 1)}, Wanted: []stackup.Wanted{w},
	}
	l := stacktest.Must(s.Linearise(context.Background()))
	now, each, err := learn.NextFromLinear(s, l, 0)
	if err != nil {
		t.Fatal(err)
	}
	// Source: hand calculation: variances 1 and 4; halved, 5 − 3/4 and 5 − 3
	if math.Abs(now.SD-math.Sqrt(5)) > 1e-12 || now.Doubt != 0.5 || each[0].Input != "b" || each[1].Input != "a" || each[2].Input != "none" {
		t.Errorf("%+v %+v", now, each)
	}
	for k, gone := range []float64{3, 0.75, 0} {
		rest := 5 - gone
		// Source: the mean on the limit: E |Φ(t) − ½| = atan(r)/π for t ~ N(0, r²)
		want := 0.5 - math.Atan(math.Sqrt(gone/rest))/math.Pi
		if math.Abs(each[k].SD-math.Sqrt(rest)) > 1e-12 || math.Abs(each[k].Doubt-want) > 1e-5 {
			t.Errorf("%+v, want doubt %v", each[k], want)
		}
	}
	s.Wanted[0].Limits = tolerance.Between(-100, 100)
	if now, each, _ := learn.NextFromLinear(s, l, 0); now.Doubt > 1e-12 || each[0].Doubt > 1e-12 {
		t.Errorf("%+v %+v", now, each)
	}
	// knowing more never adds doubt, wherever the limits are
	for _, limit := range []float64{-2, 0, 1.5, 4, 9} {
		s.Wanted[0].Limits = tolerance.Between(limit-2, limit)
		now, each, _ := learn.NextFromLinear(s, l, 0)
		last := 0.0
		for _, e := range each {
			if e.Doubt < last-1e-9 || e.Doubt > now.Doubt+1e-6 {
				t.Errorf("limit %v: %+v, now %+v", limit, each, now)
			}
			last = e.Doubt
		}
	}
	if _, _, err := learn.NextFromLinear(s, l, 1); !errors.Is(err, stackup.ErrStudy) {
		t.Error(err)
	}
}
