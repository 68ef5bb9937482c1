package law_test

import (
	"math"
	"testing"

	"example.com/borestack/internal/check"

	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
)

// The size of a plane vector with two independent normal components of standard deviation s.
//
// Source: closed forms of Rayleigh's law: mean s√(π/2), variance (2 − π/2)s², and 1 − exp(−r²/2s²)
// within r, so that 95 % lie within s√(−2 ln 0.05) = 2.447746830681 s.
func TestNewWeibull_rayleigh(t *testing.T) {
	const s = 0.03
	l := stacktest.Must(law.NewWeibull(0, math.Sqrt2*s, 2))
	m := l.Moments()
	check.Relative(t, "mean", m.Mean, s*math.Sqrt(math.Pi/2), 1e-11)
	check.Relative(t, "variance", m.Variance, (2-math.Pi/2)*s*s, 1e-11)
	check.Relative(t, "quantile", l.Quantile(0.95), 2.447746830681*s, 1e-11)
	check.Relative(t, "share within s", l.CDF(s), 1-math.Exp(-0.5), 1e-11)
}
