package stackup_test

import (
	"context"
	"math"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
)

// Correlated inputs add up with their covariance; a correlation of −1 cancels. Source: JCGM 101:2008, 9.4, mean and variance of X1² + X2² with correlation ρ: 2u², 4 x1² u² + 4 u⁴ (1 + ρ²).
func TestCorrelate(t *testing.T) {
	const u = 0.005
	for _, rho := range []float64{0, 0.9, -1} {
		one, _ := law.NewNormal(0, u)
		c := must(law.NewCopula([]law.Law{one, one}, [][]float64{{1, rho}, {rho, 1}}))
		inner := stackup.Func{In: 2, Out: 2, Of: func(dst, x []float64) error {
			dst[0], dst[1] = 1e6*(x[0]*x[0]+x[1]*x[1]), x[0]+x[1]
			return nil
		}}
		s := &stackup.Study{Model: stackup.Correlate(inner, 0, c), Inputs: stackup.StandardNormals("x1", "x2"), Wanted: []stackup.Wanted{{Name: "loss"}, {Name: "sum", Output: 1}}}
		tally := run(t, s, stackup.Settings{Samples: 200000, Seed: 2})
		q, sum := tally.Summary(0), tally.Summary(1)
		closeTo(t, "mean", q.Mean, 1e6*2*u*u, 5*q.MeanError)
		closeTo(t, "u", q.SD, 1e6*math.Sqrt(4*u*u*u*u*(1+rho*rho)), 5*q.SDError)
		closeTo(t, "sum", sum.SD, u*math.Sqrt(2*(1+rho)), 5*sum.SDError+1e-12)
		l := must(s.Linearise(context.Background()))
		closeTo(t, "sum to first order", math.Sqrt(l.Spread(s, 1, -1).XX), u*math.Sqrt(2*(1+rho)), 1e-9)
	}
}
