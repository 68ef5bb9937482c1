package rare_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
	"example.com/borestack/stackup/rare"
	"example.com/borestack/tolerance"
)

// Lines through design points that are once found: their intervals hold the known chance as often as they say, and they have no bias; 500 repeats of each.
func TestAim_Lines_coverage(t *testing.T) {
	var inputs []stackup.Input
	for i := range 4 {
		inputs = append(inputs, stackup.Input{Name: fmt.Sprint(i), Law: stacktest.Must(law.NewNormal(0, 1))})
	}
	both := stackup.Response{Name: "y"}
	both.Limits = tolerance.Between(-3.8, 3.5)
	beyond := func(x float64) float64 { return math.Erfc(x/math.Sqrt2) / 2 }
	for _, c := range []struct {
		name string
		f    func(x []float64) float64
		want float64
	}{
		// Source: hand calculation: the unit sum is normal; the size of a normal pair is Rayleigh
		{"flat", func(x []float64) float64 { return (x[0] + x[1] + x[2] + x[3]) / 2 }, beyond(3.5) + beyond(3.8)},
		{"all round", func(x []float64) float64 { return math.Hypot(x[0], x[1]) }, math.Exp(-3.5 * 3.5 / 2)},
	} {
		s := &stackup.Study{Inputs: inputs, Responses: []stackup.Response{both}, Model: stackup.Func{In: 4, Out: 1, Of: func(y, x []float64) error {
			y[0] = c.f(x)
			return nil
		}}}
		a := stacktest.Must(rare.Find(context.Background(), s, 0, stackup.Settings{Samples: stackup.BlockSize, Seed: 1}))
		const repeats = 500
		hits := 0
		var bias float64
		for seed := range repeats {
			f := stacktest.Must(a.Lines(context.Background(), stackup.Settings{Samples: 16 * rare.LineUnit, Seed: uint64(seed)})).Failure
			if f.Interval[0] <= c.want && c.want <= f.Interval[1] {
				hits++
			}
			bias += (f.Value - c.want) / f.Error
		}
		if d := 0.95*repeats - float64(hits); d > 4*math.Sqrt(repeats*0.95*0.05) {
			t.Errorf("%s: %d of %d intervals hold the true value", c.name, hits, repeats)
		}
		if m := bias / math.Sqrt(repeats); math.Abs(m) > 4 {
			t.Errorf("%s: biased by %.1f", c.name, m)
		}
	}
}
