package stackup_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
)

// vector is a model of two outputs, linear: at + gain·x.
func vector(at [2]float64, gain [2][]float64) stackup.Model {
	return stackup.Func{In: len(gain[0]), Out: 2, Of: func(dst, x []float64) error {
		for d := range 2 {
			dst[d] = at[d]
			for k, g := range gain[d] {
				dst[d] += g * x[k]
			}
		}
		return nil
	}}
}

func lengths(s *stackup.Study) (least, greatest stackup.Extreme, err error) {
	l, err := s.Linearise(context.Background())
	if err != nil {
		return least, greatest, err
	}
	least, greatest, _ = l.WorstSize(s, 0, 1)
	return least, greatest, nil
}

// The greatest length over intervals is at a corner: all 2ⁿ of them are tried, a second method.
func TestLinear_WorstSize_allCorners(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		n := 1 + r.IntN(8)
		var gain [2][]float64
		s := &stackup.Study{}
		var half []float64
		for k := range n {
			gain[0], gain[1] = append(gain[0], r.NormFloat64()), append(gain[1], r.NormFloat64())
			half = append(half, r.Float64())
			s.Inputs = append(s.Inputs, stacktest.Uniform(string(rune('a'+k)), -half[k], half[k]))
		}
		at := [2]float64{r.NormFloat64(), r.NormFloat64()}
		s.Model = vector(at, gain)
		least, greatest, err := lengths(s)
		if err != nil {
			t.Fatal(err)
		}
		var want float64
		for corner := range 1 << n {
			v := at
			for k := range n {
				x := half[k] * float64(2*(corner>>k&1)-1)
				v[0] += gain[0][k] * x
				v[1] += gain[1][k] * x
			}
			want = math.Max(want, math.Hypot(v[0], v[1]))
		}
		if math.Abs(greatest.Value-want) > 1e-12*want {
			t.Fatalf("greatest %v, want %v", greatest.Value, want)
		}
		// Each extreme is attained by its deviations, which keep their limits.
		for _, e := range []stackup.Extreme{greatest, least} {
			v := at
			for k, x := range e.X {
				if math.Abs(x) > half[k]*(1+1e-12) {
					t.Fatalf("deviation %v beyond %v", x, half[k])
				}
				v[0] += gain[0][k] * x
				v[1] += gain[1][k] * x
			}
			if e.Value == greatest.Value && math.Abs(math.Hypot(v[0], v[1])-e.Value) > 1e-12*want {
				t.Fatalf("attained %v, said %v", math.Hypot(v[0], v[1]), e.Value)
			}
		}
		// No sample is shorter than the least.
		for range 200 {
			v := at
			for k := range n {
				x := half[k] * (2*r.Float64() - 1)
				v[0] += gain[0][k] * x
				v[1] += gain[1][k] * x
			}
			if math.Hypot(v[0], v[1]) < least.Value-1e-12 {
				t.Fatalf("a sample of %v, shorter than the least %v", math.Hypot(v[0], v[1]), least.Value)
			}
		}
	}
}

// Source: hand calculation: a box of four intervals and a disc: |(0.0725, 0.0525)| + 0.03; nothing: the box holds zero. Not the sum of the components' worst.
func TestLinear_WorstSize_boxAndDisc(t *testing.T) {
	s := &stackup.Study{
		Model:  vector([2]float64{0.02, -0.01}, [2][]float64{{1.5, 0, -2.5, 0, 1, 0}, {0, 1.5, 0, -2.5, 0, 1}}),
		Inputs: []stackup.Input{stacktest.Uniform("a0", -0.01, 0.01), stacktest.Uniform("a1", -0.02, 0.02), stacktest.Uniform("b0", -0.015, 0.015), stacktest.Uniform("b1", -0.005, 0.005), {Name: "c", Joint: stacktest.Must(law.NewDisc(0, 0, 0.03))}},
	}
	least, greatest, err := lengths(s)
	if err != nil {
		t.Fatal(err)
	}
	if want := math.Hypot(0.0725, 0.0525) + 0.03; math.Abs(greatest.Value-want) > 1e-14 || least.Value != 0 {
		t.Errorf("%v to %v, want 0 to %v", least.Value, greatest.Value, want)
	}
}

// Discs seen through gains that stretch them are ellipses: sums of them against a fine scan of the support function, and the least length against its dual.
func TestLinear_WorstSize_ellipses(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 50 {
		var gain [2][]float64
		for range 6 {
			gain[0], gain[1] = append(gain[0], r.NormFloat64()), append(gain[1], r.NormFloat64())
		}
		at := [2]float64{4 * r.NormFloat64(), 4 * r.NormFloat64()}
		s := &stackup.Study{Model: vector(at, gain), Inputs: []stackup.Input{
			{Name: "a", Joint: stacktest.Must(law.NewDisc(0.1, 0, 0.6))}, {Name: "b", Joint: stacktest.Must(law.NewRing(0, 0, 0.3))}, stacktest.Uniform("c", -0.2, 0.4), stacktest.Uniform("d", 0, 0.1),
		}}
		least, greatest, err := lengths(s)
		if err != nil {
			t.Fatal(err)
		}
		reach := func(u [2]float64) float64 { // support function, from the statement
			g := func(k int) float64 { return u[0]*gain[0][k] + u[1]*gain[1][k] }
			h := u[0]*at[0] + u[1]*at[1] + 0.1*g(0) + 0.6*math.Hypot(g(0), g(1)) + 0.3*math.Hypot(g(2), g(3))
			h += math.Max(-0.2*g(4), 0.4*g(4)) + math.Max(0, 0.1*g(5))
			return h
		}
		far, near := 0.0, 0.0
		for i := range 200000 {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / 200000)
			far = math.Max(far, reach([2]float64{cos, sin}))
			near = math.Max(near, -reach([2]float64{cos, sin}))
		}
		if math.Abs(greatest.Value-far) > 1e-8*far || greatest.Value < far-1e-12 {
			t.Fatalf("greatest %v, scan %v", greatest.Value, far)
		}
		if least.Value < near-1e-12 || least.Value > near+1e-4*(1+near) { // the scan's steps
			t.Fatalf("least %v, scan %v", least.Value, near)
		}
	}
}

// The full model searched is the linear one where it is linear, and a convex one is searched to its corner.
func TestStudy_Search(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for n := range 40 {
		count := 3 + r.IntN(12) // beyond ten not all corners are tried
		var gain [2][]float64
		s := &stackup.Study{}
		for k := range count {
			gain[0], gain[1] = append(gain[0], r.NormFloat64()), append(gain[1], r.NormFloat64())
			s.Inputs = append(s.Inputs, stacktest.Uniform(string(rune('a'+k)), -r.Float64(), r.Float64()))
		}
		at := [2]float64{r.NormFloat64(), r.NormFloat64()}
		s.Model = vector(at, gain)
		_, greatest, err := lengths(s)
		if err != nil {
			t.Fatal(err)
		}
		s.Model = stacktest.One(count, func(x []float64) float64 {
			v := at
			for k := range x {
				v[0] += gain[0][k] * x[k]
				v[1] += gain[1][k] * x[k]
			}
			return math.Hypot(v[0], v[1])
		})
		s.Responses = []stackup.Response{{Name: "length"}}
		found, err := s.Search(context.Background(), 0, 1, stackup.SearchSettings{})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(found.Value-greatest.Value) > 1e-9*greatest.Value {
			t.Errorf("study %d of %d inputs: found %v, exactly %v", n, count, found.Value, greatest.Value)
		}
	}
	s := &stackup.Study{Model: stacktest.One(1, stacktest.Sum), Inputs: []stackup.Input{stacktest.Normal("a", 0, 1)}, Responses: []stackup.Response{{Name: "y"}}}
	var e *fault.FieldError
	if _, err := s.Search(context.Background(), 0, 1, stackup.SearchSettings{}); !errors.As(err, &e) || e.Path != "a" {
		t.Errorf("no limits: %v", err)
	}
}

// Worst case ≥ any sample, and the sampled spread of a linear normal stack is its RSS.
func TestLinear_Spread_againstSamples(t *testing.T) {
	gain := [2][]float64{{1, -2, 0.5, 0.3}, {0.2, 1, -0.7, 2}}
	s := &stackup.Study{
		Model:     vector([2]float64{0.3, -0.1}, gain),
		Inputs:    []stackup.Input{stacktest.Normal("a", 0.1, 0.5), stacktest.Uniform("b", -1, 2), {Name: "c", Joint: stacktest.Must(law.NewRing(0.2, 0, 0.8))}},
		Responses: []stackup.Response{{Name: "x"}, {Name: "y", Output: 1}},
	}
	l := stacktest.Must(s.Linearise(context.Background()))
	p := l.Spread(s, 0, 1)
	// Source: hand calculation: variances 0.25, 9/12, 0.32 an axis.
	xx := 0.25 + 4*0.75 + 0.32*(0.25+0.09)
	if math.Abs(p.XX-xx) > 1e-9 || math.Abs(p.Mean[0]-(0.3+0.1-2*0.5+0.5*0.2)) > 1e-9 {
		t.Errorf("variance %v, want %v; mean %v", p.XX, xx, p.Mean[0])
	}
	var shares float64
	for _, v := range p.Shares {
		shares += v
	}
	if math.Abs(shares-1) > 1e-12 {
		t.Errorf("shares add up to %v", shares)
	}
	acc := run(t, s, stackup.Settings{Samples: 200000, Seed: 4})
	for d, variance := range []float64{p.XX, p.YY} {
		q := acc.Summary(d)
		if math.Abs(q.Mean-p.Mean[d]) > 5*q.MeanError || math.Abs(q.SD-math.Sqrt(variance)) > 5*q.SDError {
			t.Errorf("output %d: sampled %v ± %v, first order %v ± %v", d, q.Mean, q.SD, p.Mean[d], math.Sqrt(variance))
		}
	}
}

// A rim is not its disc: an eccentricity of known size never comes to nothing. Source: hand calculation.
func TestLinear_WorstSize_rims(t *testing.T) {
	plain := [2][]float64{{1, 0, 1, 0, 1}, {0, 1, 0, 1, 0}}
	study := func(x float64, first, second, half float64) *stackup.Study {
		return &stackup.Study{Model: vector([2]float64{x, 0}, plain), Inputs: []stackup.Input{
			{Name: "a", Joint: stacktest.Must(law.NewRing(0, 0, first))}, {Name: "b", Joint: stacktest.Must(law.NewRing(0, 0, second))}, stacktest.Uniform("c", -half, half),
		}}
	}
	for _, c := range []struct{ x, first, second, half, least, most float64 }{
		{0, 0.03, 0, 0, 0.03, 0.03},          // one rim
		{0.01, 0.03, 0, 0, 0.02, 0.04},       // off its centre
		{0.05, 0.03, 0, 0, 0.02, 0.08},       // zero outside it
		{0, 0.03, 0.02, 0, 0.01, 0.05},       // two rims: an annulus
		{0, 0.03, 0.02, 0.004, 0.006, 0.054}, // and an interval
		{0, 0.03, 0.03, 0.001, 0, 0.061},
	} {
		least, greatest, err := lengths(study(c.x, c.first, c.second, c.half))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(least.Value-c.least) > 1e-9 || math.Abs(greatest.Value-c.most) > 1e-9 {
			t.Errorf("%+v: %v to %v", c, least.Value, greatest.Value)
		}
		for _, e := range []stackup.Extreme{least, greatest} { // deviations, where there are any, attain the length
			if x := e.X; x != nil && math.Abs(math.Hypot(c.x+x[0]+x[2]+x[4], x[1]+x[3])-e.Value) > 1e-9 {
				t.Errorf("%+v: %v is not attained by %v", c, e.Value, x)
			}
		}
	}
}
