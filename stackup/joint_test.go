package stackup_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"example.com/borestack/internal/check"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
	"example.com/borestack/stackup/learn"
	"example.com/borestack/stackup/quasi"
	"example.com/borestack/stackup/rare"
	"example.com/borestack/tolerance"
)

// Deviations that vary together add up with their covariance, by every way to sample; a correlation of −1 cancels. Source: JCGM 101:2008, 9.4, mean and variance of X1² + X2² with correlation ρ: 2u², 4u⁴(1 + ρ²).
func TestInput_Joint_moments(t *testing.T) {
	const u = 0.005
	ctx := context.Background()
	for _, rho := range []float64{0, 0.9, -1} {
		s := &stackup.Study{
			Model: stackup.Func{In: 2, Out: 2, Of: func(dst, x []float64) error {
				dst[0], dst[1] = 1e6*(x[0]*x[0]+x[1]*x[1]), x[0]+x[1]
				return nil
			}},
			Inputs:    []stackup.Input{{Name: "x", Joint: normals(2, u, rho)}},
			Responses: []stackup.Response{{Name: "loss"}, {Name: "sum", Output: 1}},
		}
		lossMean, lossSD, sumSD := 1e6*2*u*u, 1e6*math.Sqrt(4*u*u*u*u*(1+rho*rho)), u*math.Sqrt(2*(1+rho))
		acc := run(t, s, stackup.Settings{Samples: 100000, Seed: 2})
		loss, sum := acc.Summary(0), acc.Summary(1)
		check.Near(t, "mean", loss.Mean, lossMean, 5*loss.MeanError)
		check.Near(t, "u", loss.SD, lossSD, 5*loss.SDError)
		check.Near(t, "sum", sum.SD, sumSD, 5*sum.SDError+1e-12)
		l := stacktest.Must(s.Linearise(ctx))
		check.Near(t, "sum to first order", math.Sqrt(l.Spread(s, 1, -1).XX), sumSD, 1e-9)
		e := stacktest.Must(quasi.Run(ctx, s, quasi.Settings{Settings: stackup.Settings{Samples: 16 * 512, Seed: 1}}))
		check.Near(t, "mean of even points", e.Mean(0).Value, lossMean, 5*e.Mean(0).Error)
		check.Near(t, "sum of even points", e.SD(1).Value, sumSD, 5*e.SD(1).Error+1e-12)
	}
}

// Exchangeable deviations have one share together: that of their variance. Source: hand calculation: 3·0.01²·(1 + 2·0.8) against 0.02².
func TestInput_Joint_oneShare(t *testing.T) {
	s := &stackup.Study{
		Model:     stacktest.One(4, stacktest.Sum),
		Inputs:    []stackup.Input{{Name: "lot", Joint: normals(3, 0.01, 0.8)}, stacktest.Normal("other", 0, 0.02)},
		Responses: []stackup.Response{{Name: "sum"}},
	}
	lot := 3 * 1e-4 * 2.6
	want := []float64{lot / (lot + 4e-4), 4e-4 / (lot + 4e-4)}
	list := stacktest.Must(s.SobolIndices(context.Background(), stackup.Settings{Samples: 1 << 15, Seed: 1})).Of(0)
	shares := stacktest.Must(s.Linearise(context.Background())).Spread(s, 0, -1).Shares
	if len(list) != 2 || len(shares) != 2 {
		t.Fatalf("%d indices and %d shares of two inputs", len(list), len(shares))
	}
	for i, g := range list {
		check.Near(t, g.Input+" first", g.First.Value, want[i], 4*g.First.Error)
		check.Near(t, g.Input+" total", g.Total.Value, want[i], 4*g.Total.Error)
		check.Near(t, g.Input+" to first order", shares[i], want[i], 1e-9)
	}
}

// The worst case is that over the deviations that may come together: any, where no correlation is 1 or −1.
func TestInput_Joint_worstCase(t *testing.T) {
	flat := stacktest.Must(law.NewUniform(-1, 1))
	shared := stacktest.Must(law.NewShared([]law.Law{flat, stacktest.Must(law.NewUniform(0, 0.5))}, [][]float64{{1, 0}, {1, 1}}))
	for _, c := range []struct {
		name            string
		joint           law.Joint
		gains           []float64
		least, greatest float64 // Source: hand calculation, where not said otherwise
		near            float64
	}{
		{"one with the other", stacktest.Must(law.NewShared([]law.Law{flat}, [][]float64{{1}, {1}})), []float64{1, 2}, -3, 3, 1e-12},
		{"one against the other", stacktest.Must(law.NewShared([]law.Law{flat}, [][]float64{{1}, {-1}})), []float64{1, 1}, 0, 0, 1e-12},
		{"shared sources", shared, []float64{1, -1}, -0.5, 0, 1e-12},
		{"shared sources, added", shared, []float64{1, 1}, -2, 2.5, 1e-12},
		{"as long as it is", shared, []float64{0.5, -0.5}, -0.25, 0, 1e-12},
	} {
		n := len(c.gains)
		s := &stackup.Study{Model: stacktest.One(n+1, func(x []float64) float64 {
			v := 10 + x[n]
			for i, g := range c.gains {
				v += g * x[i]
			}
			return v
		}), Inputs: []stackup.Input{{Name: "joint", Joint: c.joint}, stacktest.Uniform("more", -0.25, 0.25)}, Responses: []stackup.Response{{Name: "y"}}}
		l := stacktest.Must(s.Linearise(context.Background()))
		least, greatest, ok := l.WorstScalar(s, 0)
		if !ok {
			t.Fatalf("%s: unbounded", c.name)
		}
		y := func(x []float64) float64 {
			v := 10 + x[n]
			for i, g := range c.gains {
				v += g * x[i]
			}
			return v
		}
		check.Near(t, c.name+" least", least.Value, 10+c.least-0.25, c.near)
		check.Near(t, c.name+" greatest", greatest.Value, 10+c.greatest+0.25, c.near)
		check.Near(t, c.name+" at its deviations", y(greatest.X), greatest.Value, 1e-12)
		for sign, want := range map[float64]float64{1: greatest.Value, -1: least.Value} {
			found := stacktest.Must(s.Search(context.Background(), 0, sign, stackup.SearchSettings{}))
			check.Near(t, c.name+" in full", found.Value, want, 1e-12)
			check.Near(t, c.name+" in full at its deviations", y(found.X), found.Value, 1e-12)
		}
		half := stacktest.Must(l.Contributions(s, 0))
		if len(half) != 2 {
			t.Fatalf("%s: %d contributions", c.name, len(half))
		}
		check.Near(t, c.name+" contribution", half[0], (c.greatest-c.least)/2, c.near)
		check.Near(t, c.name+" other contribution", half[1], 0.25, 1e-12)
		// no sample goes beyond, and the samples fill the range where the law is not thin at its ends
		q := run(t, s, stackup.Settings{Samples: 20000, Seed: 1}).Summary(0)
		if q.Least < least.Value-1e-12-c.near || q.Most > greatest.Value+1e-12+c.near {
			t.Errorf("%s: samples from %v to %v, worst case %v to %v", c.name, q.Least, q.Most, least.Value, greatest.Value)
		}
	}
	// two outputs: the size of (x1, x2) with x2 = −x1 is at most √2
	s := &stackup.Study{Model: stackup.Func{In: 2, Out: 2, Of: func(y, x []float64) error { copy(y, x); return nil }}, Inputs: []stackup.Input{{Name: "joint", Joint: stacktest.Must(law.NewShared([]law.Law{flat}, [][]float64{{1}, {-1}}))}}}
	l := stacktest.Must(s.Linearise(context.Background()))
	least, greatest, ok := l.WorstSize(s, 0, 1)
	if !ok || math.Abs(greatest.Value-math.Sqrt2) > 1e-12 || least.Value > 1e-6 {
		t.Errorf("sizes %v to %v", least, greatest)
	}
	for name, joint := range map[string]law.Joint{
		"no limits": normals(2, 1, 0.5),
	} {
		s := &stackup.Study{Model: stacktest.One(joint.Columns(), stacktest.Sum), Inputs: []stackup.Input{{Name: "joint", Joint: joint}}, Responses: []stackup.Response{{Name: "y"}}}
		var e *fault.FieldError
		if _, err := s.Search(context.Background(), 0, 1, stackup.SearchSettings{}); !errors.As(err, &e) || e.Path != "joint" || s.Unbounded() != "joint" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A design point is in the deviations' own units. Source: hand calculation: for y = g·x ~ N(0, gᵀCg) the likeliest x with y = b is b·Cg/gᵀCg.
func TestInput_Joint_designPoint(t *testing.T) {
	const rho = 0.5
	joint := stacktest.Must(law.NewNormals([]float64{0, 0}, [][]float64{{1e-4, rho * 3e-4}, {rho * 3e-4, 9e-4}}))
	cov := [2][2]float64{{1e-4, rho * 3e-4}, {rho * 3e-4, 9e-4}}
	gains := [2]float64{1, -2}
	variance := cov[0][0] + 4*cov[1][1] - 4*cov[0][1]
	limit := 4 * math.Sqrt(variance)
	s := &stackup.Study{
		Model:  stacktest.One(2, func(x []float64) float64 { return gains[0]*x[0] + gains[1]*x[1] }),
		Inputs: []stackup.Input{{Name: "pair", Joint: joint}}, Responses: []stackup.Response{{Name: "y", Limits: tolerance.AtMost(limit)}},
	}
	r := stacktest.Must(rare.Failures(context.Background(), s, 0, stackup.Settings{Samples: 8192, Seed: 1}))
	if math.Abs(r.Failure.Value-stacktest.Upper(4)) > 4*r.Failure.Error || len(r.Points) != 1 || len(r.Points[0].Shares) != 1 {
		t.Fatalf("%+v", r)
	}
	for i, x := range r.Points[0].X {
		check.Near(t, "deviation", x, limit/variance*(cov[i][0]*gains[0]+cov[i][1]*gains[1]), 1e-4)
	}
}

// shares of one source make the inputs of a study vary together; every method takes them.
func TestInput_Joint_everyMethod(t *testing.T) {
	ctx := context.Background()
	joint := stacktest.Must(law.NewShared([]law.Law{stacktest.Must(law.NewNormal(0, 0.02)), stacktest.Must(law.NewNormal(0.01, 0.01))}, [][]float64{{1, 0}, {1, 1}, {0, -1}}))
	s := &stackup.Study{
		Model:     stacktest.One(4, func(x []float64) float64 { return x[0] + x[1] - x[2] + x[3] }),
		Inputs:    []stackup.Input{{Name: "lot", Joint: joint}, stacktest.Normal("other", 0, 0.01)},
		Responses: []stackup.Response{{Name: "y", Limits: tolerance.AtMost(0.12)}},
	}
	// Source: hand calculation: y = 2a + 2b + other: mean 0.02, variance 4·4e-4 + 4·1e-4 + 1e-4
	sd := math.Sqrt(21e-4)
	set := stackup.Settings{Samples: 1 << 16, Seed: 1}
	l := stacktest.Must(s.Linearise(ctx))
	p := l.Spread(s, 0, -1)
	check.Near(t, "mean to first order", p.Mean[0], 0.02, 1e-12)
	check.Near(t, "sd to first order", math.Sqrt(p.XX), sd, 1e-9)
	learnt := stacktest.Must(learn.From(ctx, s, []learn.Observation{{Value: 0.06, Uncertainty: 0.01}}, set))
	check.Near(t, "learnt", learnt.Responses[0].Mean.Value, 0.02+0.04*21e-4/(21e-4+1e-4), 5*learnt.Responses[0].Mean.Error)
	if len(learnt.Inputs) != 4 || learnt.Inputs[2].Name != "lot" || learnt.Inputs[2].Axis != 2 {
		t.Errorf("%+v", learnt.Inputs)
	}
	tails := stacktest.Must(s.FailureTails(ctx, set))
	if len(tails[0].Tails) != 4 || tails[0].Tails[1].Upper.Value < 3 || math.Abs(float64(tails[0].Failed)/float64(set.Samples)-stacktest.Upper(0.1/sd)) > 0.005 {
		t.Errorf("%+v", tails)
	}
	now, each, err := learn.Next(ctx, s, 0, set)
	if err != nil || len(each) != 2 || each[0].Input != "lot" {
		t.Fatalf("%v, %v, %v", now, each, err)
	}
	check.Near(t, "known twice as well", each[0].SD.Value, math.Sqrt(20e-4/4+1e-4), 5*each[0].SD.Error)
	other := *s
	other.Inputs = []stackup.Input{stacktest.Must(stackup.Input{Name: "lot", Joint: joint}.Scaled(0.5)), s.Inputs[1]}
	c := stacktest.Must(stackup.Compare(ctx, s, &other, set))
	check.Near(t, "less spread", c.Difference(0).SD.Value, math.Sqrt(6e-4)-sd, 5*c.Difference(0).SD.Error)
	// Source: hand calculation: 2.0 sd at yield Φ(2): √(20e-4 k² + 1e-4) = 0.05
	far := stacktest.Must(stackup.HowFar(ctx, spread(s, 0), stackup.Question{From: 0.5, To: 2, Share: 1 - stacktest.Upper(2)}, set))
	check.Near(t, "how far", far.Value, math.Sqrt(24e-4/20e-4), 4*far.Error)
	if _, err := s.SecondOrder(ctx, 0); !stacktest.Refused(err) {
		t.Error(err)
	}
	x := stacktest.Must(s.Sample(1, 1500))
	check.Near(t, "sample", x[1]-x[0], -x[2], 1e-15) // both are the second source
	a, again := run(t, s, stackup.Settings{Samples: 5000, Seed: 3, Workers: 1}), run(t, s, stackup.Settings{Samples: 5000, Seed: 3, Workers: 4})
	if a.Summary(0).Mean != again.Summary(0).Mean {
		t.Error("other numbers on other workers")
	}
	bad := *s
	bad.Inputs = []stackup.Input{{Name: "lot", Joint: joint, Law: stacktest.Must(law.NewNormal(0, 1))}, s.Inputs[1]}
	var nothing *ownJoint
	none := *s
	none.Inputs = []stackup.Input{{Name: "lot", Joint: nothing}, s.Inputs[1]}
	for _, s := range []*stackup.Study{&bad, &none} {
		if err := s.Validate(); !stacktest.Refused(err) {
			t.Error(err)
		}
	}
}

// ownJoint is a joint law of the user's.
type ownJoint struct{ law.Joint }

// normals are n normal deviations of one standard deviation that are all correlated alike.
func normals(n int, sd, rho float64) law.Joint {
	rows := make([][]float64, n)
	for i := range rows {
		for j := range n {
			r := rho
			if i == j {
				r = 1
			}
			rows[i] = append(rows[i], r*sd*sd)
		}
	}
	return stacktest.Must(law.NewNormals(make([]float64, n), rows))
}
