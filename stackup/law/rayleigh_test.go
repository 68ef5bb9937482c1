package law_test

import (
	"math"
	"testing"

	"example.com/borestack/stackup/law"
)

// The size of a plane vector with two independent normal components of standard deviation s.
//
// Source: closed forms of Rayleigh's law: mean s√(π/2), variance (2 − π/2)s², and 1 − exp(−r²/2s²)
// within r, so that 95 % lie within s√(−2 ln 0.05) = 2.447746830681 s.
func TestNewRayleigh(t *testing.T) {
	const s = 0.03
	l, err := law.NewRayleigh(s)
	if err != nil {
		t.Fatal(err)
	}
	m := l.Moments()
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"mean", m.Mean, s * math.Sqrt(math.Pi/2)},
		{"variance", m.Variance, (2 - math.Pi/2) * s * s},
		{"quantile", l.Quantile(0.95), 2.447746830681 * s},
		{"share within s", l.CDF(s), 1 - math.Exp(-0.5)},
	} {
		if math.Abs(c.got-c.want) > 1e-11*c.want {
			t.Errorf("%s: %v, want %v", c.what, c.got, c.want)
		}
	}
}
