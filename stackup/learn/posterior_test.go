package learn_test

import (
	"context"
	"errors"
	"math"
	"reflect"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
	"example.com/borestack/stackup/learn"
	"example.com/borestack/tolerance"
)

func learnt(t testing.TB, s *stackup.Study, set stackup.Settings, readings ...learn.Observation) *learn.Learnt {
	t.Helper()
	l, err := learn.From(context.Background(), s, readings, set)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// The errors of mean, standard deviation and yield are each its own: what they scatter by from seed to
// seed. The unit is small, so that they are far apart.
//
// Source: the definition of a standard error; 40 values scatter to within 4/√80 = 45 %.
func TestStudy_Learn_errorsAgainstScatter(t *testing.T) {
	w := stackup.Response{Name: "y"}
	w.Limits = tolerance.AtMost(130)
	s := &stackup.Study{
		Model:  stacktest.One(1, func(x []float64) float64 { return 100 * x[0] }),
		Inputs: []stackup.Input{stacktest.Normal("a", 0, 1)}, Responses: []stackup.Response{w},
	}
	const seeds = 40
	var values, stated [3][]float64
	for seed := range uint64(seeds) {
		p := learnt(t, s, stackup.Settings{Samples: 1 << 14, Seed: seed}, learn.Observation{Value: 50, Uncertainty: 300}).Responses[0]
		for k, f := range []stackup.Figure{p.Mean, p.SD, p.Yield} {
			values[k], stated[k] = append(values[k], f.Value), append(stated[k], f.Error)
		}
	}
	for k, name := range []string{"mean", "standard deviation", "yield"} {
		scatter, mean := stat.StdDev(values[k], nil), stat.Mean(stated[k], nil)
		if r := mean / scatter; r < 0.6 || r > 1.6 {
			t.Errorf("%s: error %v, and it scatters by %v", name, mean, scatter)
		}
	}
}

// For a linear model of normal laws, the weighted samples agree with conditioning, within their error.
func TestStudy_Learn_coverage(t *testing.T) {
	s, readings := gaps()
	mean, sd, m, c := conditioned(s, readings)
	want := []float64{m.AtVec(0), m.AtVec(2), math.Sqrt(c.At(0, 0)), mean, sd, 1 - stacktest.Upper((1.4-mean)/sd)}
	hits, bias := make([]int, len(want)), make([]float64, len(want))
	const repeats = 250
	for seed := range repeats {
		got := learnt(t, s, stackup.Settings{Samples: 1 << 14, Seed: uint64(seed)}, readings...)
		for k, f := range []stackup.Figure{got.Inputs[0].Mean, got.Inputs[2].Mean, got.Inputs[0].SD, got.Responses[0].Mean, got.Responses[0].SD, got.Responses[0].Yield} {
			if f.Interval[0] <= want[k] && want[k] <= f.Interval[1] {
				hits[k]++
			}
			bias[k] += (f.Value - want[k]) / f.Error
		}
		if got.Effective < 5000 || got.Doubt != "" {
			t.Fatalf("%v effective samples: %s", got.Effective, got.Doubt)
		}
	}
	for k, h := range hits {
		if !stacktest.WithinBinomial(h, repeats, 0.95) {
			t.Errorf("figure %d: %d of %d intervals hold the true value", k, h, repeats)
		}
		if m := bias[k] / math.Sqrt(repeats); math.Abs(m) > 4.5 {
			t.Errorf("figure %d: biased by %.1f", k, m)
		}
	}
}

// conditioned are mean and standard deviation of the second gap after readings, and the deviations' means and covariance.
//
// Source: normal equations: (P⁻¹ + Σ hhᵀ/u²) m = P⁻¹ m₀ + Σ h v/u².
func conditioned(s *stackup.Study, readings []learn.Observation) (mean, sd float64, m *mat.VecDense, c *mat.SymDense) {
	l := stacktest.Must(s.Linearise(context.Background()))
	prior := mat.NewSymDense(4, []float64{1, 0, 0, 0, 0, 1, 0.3, 0, 0, 0.3, 0.5, 0, 0, 0, 0, 0.25})
	m0 := mat.NewVecDense(4, []float64{0, 0.2, 0, 0})
	var factor mat.Cholesky
	factor.Factorize(prior)
	var info mat.SymDense
	_ = factor.InverseTo(&info) // well conditioned
	right := mat.NewVecDense(4, nil)
	right.MulVec(&info, m0)
	for _, o := range readings {
		h, u2 := mat.NewVecDense(4, l.Gain[o.Output]), o.Uncertainty*o.Uncertainty
		info.SymRankOne(&info, 1/u2, h)
		right.AddScaledVec(right, (o.Value-l.At[o.Output])/u2, h)
	}
	factor.Factorize(&info)
	m, c = mat.NewVecDense(4, nil), &mat.SymDense{}
	_, _ = factor.SolveVecTo(m, right), factor.InverseTo(c)
	h := mat.NewVecDense(4, l.Gain[1])
	return l.At[1] + mat.Dot(h, m), math.Sqrt(mat.Inner(h, c, h)), m, c
}

// A length of two uniform deviations is read: the posterior by quadrature.
func TestStudy_Learn_curved(t *testing.T) {
	s := &stackup.Study{
		Model:  stacktest.One(2, func(x []float64) float64 { return math.Hypot(x[0], x[1]) }),
		Inputs: []stackup.Input{stacktest.Uniform("a", 0, 2), stacktest.Uniform("b", -1, 1)}, Responses: []stackup.Response{{Name: "size"}},
	}
	reading := learn.Observation{Value: 1.5, Uncertainty: 0.05}
	// Source: the midpoint rule over both
	var all, sum, squares float64
	const n = 800
	for i := range n {
		for j := range n {
			x, y := 2*(float64(i)+0.5)/n, -1+2*(float64(j)+0.5)/n
			d := (math.Hypot(x, y) - 1.5) / 0.05
			w := math.Exp(-d * d / 2)
			all += w
			sum += w * x
			squares += w * y * y
		}
	}
	got := learnt(t, s, stackup.Settings{Samples: 1 << 16, Seed: 1}, reading)
	if m := got.Inputs[0].Mean; math.Abs(m.Value-sum/all) > 4*m.Error || m.Error > 0.01 {
		t.Errorf("%+v, want %v", m, sum/all)
	}
	if v := got.Inputs[1].SD; math.Abs(v.Value-math.Sqrt(squares/all)) > 4*v.Error || v.Error > 0.01 {
		t.Errorf("%+v, want %v", v, math.Sqrt(squares/all))
	}
	// no readings: the laws themselves
	if m := learnt(t, s, stackup.Settings{Samples: 1 << 14}).Inputs[0].Mean; math.Abs(m.Value-1) > 4*m.Error {
		t.Errorf("%+v", m)
	}
}

func TestStudy_Learn_errors(t *testing.T) {
	s, readings := gaps()
	ctx := context.Background()
	for _, o := range []learn.Observation{{Output: 7, Uncertainty: 1}, {Uncertainty: 0}, {Value: math.Inf(1), Uncertainty: 1}} {
		if _, err := learn.From(ctx, s, []learn.Observation{o}, stackup.Settings{Samples: 1 << 14}); !stacktest.Refused(err) {
			t.Errorf("%+v: %v", o, err)
		}
	}
	if _, err := learn.From(ctx, s, readings, stackup.Settings{Samples: 1 << 10}); !stacktest.Refused(err) {
		t.Error(err)
	}
	stopped, stop := context.WithCancel(ctx)
	stop()
	if _, err := learn.From(stopped, s, readings, stackup.Settings{Samples: 1 << 14}); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	a, b := learnt(t, s, stackup.Settings{Samples: 20000, Workers: 1}, readings...), learnt(t, s, stackup.Settings{Samples: 20000, Workers: 3}, readings...)
	if !reflect.DeepEqual(a, b) {
		t.Error("other numbers on other workers")
	}
	// a reading that nothing explains
	far := &stackup.Study{Model: stacktest.One(1, func(x []float64) float64 { return math.Inf(1) }), Inputs: []stackup.Input{stacktest.Normal("a", 0, 1)}}
	if _, err := learn.From(ctx, far, readings[:1], stackup.Settings{Samples: 1 << 14}); !errors.Is(err, fault.ErrNotFinite) {
		t.Error(err)
	}
	// a disc that cannot reach: few effective samples, and it says so
	short := &stackup.Study{
		Model:  stacktest.One(2, func(x []float64) float64 { return x[0] }),
		Inputs: []stackup.Input{{Name: "d", Joint: stacktest.Opaque{Joint: stacktest.Must(law.NewDisc(0, 0, 1))}}}, Responses: []stackup.Response{{Name: "x"}},
	}
	if l := learnt(t, short, stackup.Settings{Samples: 1 << 14}, learn.Observation{Value: 3, Uncertainty: 0.03}); l.Doubt == "" {
		t.Errorf("%v effective samples", l.Effective)
	}
}

// gaps is a linear model of normal deviations with a sharp reading of one gap and a blunt one of the other.
func gaps() (*stackup.Study, []learn.Observation) {
	w := stackup.Response{Name: "other gap", Output: 1}
	w.Limits = tolerance.AtMost(1.4)
	return &stackup.Study{
		Model: stackup.Func{In: 4, Out: 2, Of: func(y, x []float64) error {
			y[0], y[1] = x[0]+x[1]-x[2], x[1]+2*x[2]-x[3]
			return nil
		}},
		Inputs:    []stackup.Input{stacktest.Normal("a", 0, 1), {Name: "b", Joint: stacktest.Must(law.NewBivariate(0.2, 0, 1, 0.5, 0.3))}, stacktest.Normal("d", 0, 0.5)},
		Responses: []stackup.Response{w},
	}, []learn.Observation{{Output: 0, Value: 2, Uncertainty: 0.05}, {Output: 1, Value: -1, Uncertainty: 0.8}}
}
