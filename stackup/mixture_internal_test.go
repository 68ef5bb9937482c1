package stackup

import (
	"context"
	"fmt"
	"math"
	"testing"

	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// The sampling about design points that are once found: its intervals hold the known chance as often as they say, and it has no bias; 500 repeats of each.
func TestAimed_rare_coverage(t *testing.T) {
	var inputs []Input
	for i := range 4 {
		inputs = append(inputs, Input{Name: fmt.Sprint(i), Law: must(law.NewNormal(0, 1))})
	}
	both := Wanted{Name: "y"}
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
		s := &Study{Inputs: inputs, Wanted: []Wanted{both}, Model: Func{In: 4, Out: 1, Of: func(y, x []float64) error {
			y[0] = c.f(x)
			return nil
		}}}
		a := must(s.aim(context.Background(), 0, Settings{Seed: 1}))
		const repeats = 500
		hits := 0
		var bias float64
		for seed := range repeats {
			f := must(a.rare(context.Background(), Settings{Samples: 1024, Seed: uint64(seed)})).Failure
			if f.Interval[0] <= c.want && c.want <= f.Interval[1] {
				hits++
			}
			bias += (f.Value - c.want) / f.Error
		}
		if d := math.Abs(float64(hits) - 0.95*repeats); d > 4*math.Sqrt(repeats*0.95*0.05) {
			t.Errorf("%s: %d of %d intervals hold the true value", c.name, hits, repeats)
		}
		if m := bias / math.Sqrt(repeats); math.Abs(m) > 4 {
			t.Errorf("%s: biased by %.1f", c.name, m)
		}
	}
}

// A mixture's weights are those of its densities: they average to 1 over its own samples, and none exceeds 10.
func TestMixture_weight(t *testing.T) {
	m := newMixture([]DesignPoint{{Probability: 1e-3, z: []float64{2, 1}}, {Probability: 1e-9, z: []float64{-1, 3}}})
	if math.Abs(m.shares[0]-0.9/1.1) > 1e-12 || math.Abs(m.shares[1]-0.09/1.1) > 1e-12 {
		t.Error(m.shares)
	}
	const n = 1 << 16
	z := columns(2, n)
	s := law.NewStream(1, "mixture", 0)
	s.Normals(z[0])
	s.Normals(z[1])
	var sum, most float64
	for i := range n {
		if k := m.pick(s.Float64()); k >= 0 {
			z[0][i] += m.z[k][0]
			z[1][i] += m.z[k][1]
		}
		w := m.weight(z, i)
		sum += w
		most = math.Max(most, w)
	}
	if math.Abs(sum/n-1) > 0.05 || most > 1/usual {
		t.Errorf("mean %v, greatest %v", sum/n, most)
	}
}

// The gaussian's ratio is that of its densities.
func TestGaussian_logRatio(t *testing.T) {
	g := &gaussian{mean: []float64{1, -2}, lower: [][]float64{{0.5, 0}, {0.2, 0.1}}}
	g.logRoot = math.Log(0.5 * 0.1)
	z, e := [][]float64{{0.8}, {-1.9}}, make([]float64, 2)
	// Source: hand calculation: e = (−0.4, (0.1 + 0.08)/0.1 = 1.8), density exp(−|e|²/2)/0.05 against exp(−|z|²/2)
	ratio := math.Exp(-(0.16+3.24)/2) / 0.05 / math.Exp(-(0.64+3.61)/2)
	if got, want := g.logRatio(z, 0, e), -math.Log(0.2+0.8*ratio); math.Abs(got-want) > 1e-12 {
		t.Errorf("%v, want %v", got, want)
	}
	z[0][0], z[1][0] = -0.4, 1.8
	if g.draw(z, 0, e); math.Abs(z[0][0]-0.8) > 1e-12 || math.Abs(z[1][0]+1.9) > 1e-12 {
		t.Error(z)
	}
}
