package stackup_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"reflect"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
)

// ishigami is the test function sin x₁ + a sin² x₂ + b x₃⁴ sin x₁ over (−π, π)³, and its indices.
//
// Source: Ishigami and Homma, An importance quantification technique in uncertainty analysis for computer models, ISUMA 1990, with a = 7, b = 0.1: V₁ = (1 + bπ⁴/5)²/2, V₂ = a²/8, V₁₃ = b²π⁸(1/18 − 1/50); S 0.3139, 0.4424, 0; total 0.5576, 0.4424, 0.2437.
func ishigami() (s *stackup.Study, first, total []float64) {
	s = &stackup.Study{
		Model: stacktest.One(3, func(x []float64) float64 {
			a, b := math.Sin(x[0]), math.Sin(x[1])
			return a + 7*b*b + 0.1*x[2]*x[2]*x[2]*x[2]*a
		}),
		Inputs:    []stackup.Input{stacktest.Uniform("x1", -math.Pi, math.Pi), stacktest.Uniform("x2", -math.Pi, math.Pi), stacktest.Uniform("x3", -math.Pi, math.Pi)},
		Responses: []stackup.Response{{Name: "y"}},
	}
	return s, []float64{0.3139, 0.4424, 0}, []float64{0.5576, 0.4424, 0.2437}
}

// gFunction is Π (|4x − 2| + aᵢ)/(1 + aᵢ) over the unit cube, and its indices.
//
// Source: Saltelli and Sobol, About the use of rank transformation in sensitivity analysis of model output, Reliab. Eng. Syst. Saf. 50 (1995): Vᵢ = 1/(3(1 + aᵢ)²), V = Π (1 + Vᵢ) − 1, total Vᵢ Π_{j≠i} (1 + Vⱼ).
func gFunction(a ...float64) (s *stackup.Study, first, total []float64) {
	s = &stackup.Study{
		Model: stacktest.One(len(a), func(x []float64) float64 {
			y := 1.0
			for i, v := range x {
				y *= (math.Abs(4*v-2) + a[i]) / (1 + a[i])
			}
			return y
		}),
		Responses: []stackup.Response{{Name: "y"}},
	}
	all := 1.0
	for i, a := range a {
		s.Inputs = append(s.Inputs, stacktest.Uniform(fmt.Sprint("x", i), 0, 1))
		first = append(first, 1/(3*(1+a)*(1+a)))
		all *= 1 + first[i]
	}
	for i, v := range first {
		first[i] = v / (all - 1)
		total = append(total, v*all/(1+v)/(all-1))
	}
	return s, first, total
}

func indices(t testing.TB, s *stackup.Study, set stackup.Settings) *stackup.Indices {
	t.Helper()
	x, err := s.SobolIndices(context.Background(), set)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func TestStudy_SobolIndices_published(t *testing.T) {
	type known struct {
		name         string
		study        *stackup.Study
		first, total []float64
	}
	var all []known
	s, f, u := ishigami()
	all = append(all, known{"Ishigami", s, f, u})
	s, f, u = gFunction(0, 1, 4.5, 9, 99)
	all = append(all, known{"g", s, f, u})
	for _, c := range all {
		got := indices(t, c.study, stackup.Settings{Samples: 1 << 16, Seed: 5}).Of(0)
		for i, g := range got {
			for _, v := range []struct {
				what string
				got  stackup.Figure
				want float64
			}{{"first", g.First, c.first[i]}, {"total", g.Total, c.total[i]}} {
				const digits = 5e-5 // of the published values
				if math.Abs(v.got.Value-v.want) > 4*v.got.Error+digits {
					t.Errorf("%s: %s of %s: %v, want %v", c.name, v.what, g.Input, v.got, v.want)
				}
				if v.got.Error > 0.012 {
					t.Errorf("%s: %s of %s: error %v of no use", c.name, v.what, g.Input, v.got.Error)
				}
			}
		}
	}
}

// For a linear model, first order and total are both the shares of the variance, here of a vector: its trace.
func TestIndices_Of_linear(t *testing.T) {
	s := &stackup.Study{
		Model: stackup.Func{In: 5, Out: 2, Of: func(y, x []float64) error {
			y[0], y[1] = 227+x[0]+2*x[1]+x[3], -x[1]+3*x[2]+x[4]
			return nil
		}},
		Inputs:    []stackup.Input{stacktest.Normal("a", 0.1, 1), stacktest.Uniform("b", -1, 1), stacktest.Normal("c", 0, 0.2), {Name: "d", Joint: stacktest.Must(law.NewDisc(0, 0, 1))}},
		Responses: []stackup.Response{{Name: "x"}, {Name: "y", Output: 1}},
	}
	l := stacktest.Must(s.Linearise(context.Background()))
	x := indices(t, s, stackup.Settings{Samples: 1 << 15, Seed: 2})
	for _, of := range [][]int{{0}, {1}, {0, 1}} {
		y := -1
		if len(of) == 2 {
			y = of[1]
		}
		want := l.Spread(s, of[0], y).Shares
		for i, g := range x.Of(of...) {
			if math.Abs(g.First.Value-want[i]) > 4*g.First.Error+1e-12 || math.Abs(g.Total.Value-want[i]) > 4*g.Total.Error+1e-12 {
				t.Errorf("%v of %v: first %v, total %v, want %v", of, g.Input, g.First, g.Total, want[i])
			}
			if want[i] == 0 && (g.First.Value != 0 || g.Total.Value != 0) {
				t.Errorf("%v of %v: not 0", of, g.Input)
			}
		}
	}
}

// repeats of the tests of coverage.
const repeats = 500

func TestIndices_Of_coverage(t *testing.T) {
	s, first, total := gFunction(0, 1, 4.5)
	hits := [2][3]int{}
	var bias [2][3]float64
	for seed := range repeats {
		for i, g := range indices(t, s, stackup.Settings{Samples: 2048, Seed: uint64(seed)}).Of(0) {
			for k, f := range [2]stackup.Figure{g.First, g.Total} {
				want := [2][]float64{first, total}[k][i]
				if f.Interval[0] <= want && want <= f.Interval[1] {
					hits[k][i]++
				}
				bias[k][i] += (f.Value - want) / f.Error
			}
		}
	}
	for k := range hits {
		for i, h := range hits[k] {
			if !stacktest.WithinBinomial(h, repeats, 0.95) {
				t.Errorf("order %d of x%d: %d of %d intervals hold the true value", k, i, h, repeats)
			}
			if z := bias[k][i] / math.Sqrt(repeats); math.Abs(z) > 4.5 {
				t.Errorf("order %d of x%d: biased by %.1f standard errors of the mean", k, i, z)
			}
		}
	}
}

func TestStudy_SobolIndices_sameForAnyWorkers(t *testing.T) {
	s := stacktest.Mixed()
	one := indices(t, s, stackup.Settings{Samples: 5000, Seed: 3, Workers: 1})
	if many := indices(t, s, stackup.Settings{Samples: 5000, Seed: 3, Workers: 5}); !reflect.DeepEqual(one, many) {
		t.Error("other numbers on other workers")
	}
}

func TestStudy_SobolIndices_errors(t *testing.T) {
	s := stacktest.Mixed()
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := s.SobolIndices(ctx, stackup.Settings{Samples: 4096}); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	for _, set := range []stackup.Settings{{Samples: 100}, {Samples: 4096, From: 1, To: 2}} {
		if _, err := s.SobolIndices(context.Background(), set); !stacktest.Refused(err) {
			t.Errorf("%+v: %v", set, err)
		}
	}
	bad := &stackup.Study{
		Model:  stacktest.One(1, func(x []float64) float64 { return 1 / math.Max(x[0], 0) }),
		Inputs: []stackup.Input{stacktest.Normal("a", 2, 1)}, Responses: []stackup.Response{{Name: "y"}},
	}
	_, err := bad.SobolIndices(context.Background(), stackup.Settings{Samples: 4096})
	var e *fault.SampleError
	if !errors.Is(err, fault.ErrNotFinite) || !errors.As(err, &e) {
		t.Error(err)
	}
	if _, err := (&stackup.Study{}).SobolIndices(context.Background(), stackup.Settings{Samples: 4096}); !stacktest.Refused(err) {
		t.Error(err)
	}
}
