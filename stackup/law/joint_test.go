package law_test

import (
	"errors"
	"fmt"
	"math"
	"sort"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/law"
)

// columns draws n samples in blocks from a joint law.
func columns(j law.Joint, n, block int) [][]float64 {
	out := make([][]float64, j.Columns())
	for i := range out {
		out[i] = make([]float64, n)
	}
	streams := make([]law.Stream, j.Streams())
	for k := range streams {
		streams[k] = law.NewStream(11, fmt.Sprint("source ", k), 0)
	}
	part, work := make([][]float64, len(out)), make([]float64, block)
	for from := 0; from < n; from += block {
		for i := range out {
			part[i] = out[i][from : from+block]
		}
		j.Draw(part, work, streams)
	}
	return out
}

// covariance returns means and covariance of two columns.
func covariance(x, y []float64) (mx, my, xy float64) {
	n := float64(len(x))
	for i := range x {
		mx += x[i] / n
		my += y[i] / n
	}
	for i := range x {
		xy += (x[i] - mx) * (y[i] - my) / n
	}
	return
}

// matches compares draws of a joint law with its means and covariances.
func matches(t *testing.T, j law.Joint, out [][]float64) {
	t.Helper()
	n := float64(len(out[0]))
	for i := range out {
		for k := range out {
			mx, _, got := covariance(out[i], out[k])
			vi, vk := j.Covariance(i, i), j.Covariance(k, k)
			if math.Abs(mx-j.Mean(i)) > 5*math.Sqrt(vi/n)+1e-12 {
				t.Errorf("mean of %d: %v, want %v", i, mx, j.Mean(i))
			}
			if want := j.Covariance(i, k); math.Abs(got-want) > 8*math.Sqrt(2*vi*vk/n)+1e-12 {
				t.Errorf("covariance of %d and %d: %v, want %v", i, k, got, want)
			}
			if j.Covariance(i, k) != j.Covariance(k, i) {
				t.Errorf("covariance of %d and %d is not symmetric", i, k)
			}
		}
	}
}

func TestCopula_draws(t *testing.T) {
	laws := []law.Law{
		must(law.NewNormal(1, 0.2)),
		must(law.NewUniform(0, 4)),
		must(law.NewLogNormal(0, 0, 0.4)),
		must(law.NewTriangular(-1, 2)),
	}
	c := must(law.NewCopula(laws, [][]float64{
		{1, 0.7, -0.2, 0},
		{0.7, 1, 0.3, 0},
		{-0.2, 0.3, 1, 0.5},
		{0, 0, 0.5, 1},
	}))
	const n = 100_000
	out := columns(c, n, 1000)
	matches(t, c, out)
	critical := math.Sqrt(math.Log(2e6)/2) / math.Sqrt(n)
	for i, l := range laws {
		x := append([]float64(nil), out[i]...)
		sort.Float64s(x)
		var worst float64
		for k, v := range x {
			f := l.CDF(v)
			worst = max(worst, float64(k+1)/n-f, f-float64(k)/n)
		}
		if worst > critical {
			t.Errorf("column %d is %v from its law", i, worst)
		}
	}
}

// Source: for two uniform laws Pearson's correlation is that of the ranks, (6/π) asin(ρ/2) (K. Pearson 1907); for normal laws ρ; for lognormal laws (e^(ρst) − 1)/√((e^(s²) − 1)(e^(t²) − 1)).
func TestCopula_Covariance_closedForms(t *testing.T) {
	for _, r := range []float64{-1, -0.95, -0.5, 0, 0.1, 0.6, 0.99, 1} {
		correlation := [][]float64{{1, r}, {r, 1}}
		u := must(law.NewUniform(0, 3))
		c := must(law.NewCopula([]law.Law{u, u}, correlation))
		if got, want := c.Covariance(0, 1)/(9.0/12), 6/math.Pi*math.Asin(r/2); math.Abs(got-want) > 1e-6 {
			t.Errorf("uniform at %v: %.9f, want %.9f", r, got, want)
		}
		c = must(law.NewCopula([]law.Law{must(law.NewNormal(1, 2)), must(law.NewNormal(0, 3))}, correlation))
		if got := c.Covariance(0, 1); math.Abs(got-6*r) > 1e-12 {
			t.Errorf("normal at %v: %v, want %v", r, got, 6*r)
		}
		c = must(law.NewCopula([]law.Law{must(law.NewLogNormal(0, 0, 0.3)), must(law.NewLogNormal(0, 0, 0.5))}, correlation))
		got, want := c.Covariance(0, 1), math.Expm1(r*0.15)*math.Exp((0.09+0.25)/2)
		if math.Abs(got-want) > 1e-10 {
			t.Errorf("lognormal at %v: %v, want %v", r, got, want)
		}
	}
}

func TestCopula_singular(t *testing.T) {
	n := must(law.NewNormal(0, 1))
	// the third is the first, turned round; the fourth the mean of the first two over its length
	const h = 0.5
	s := math.Sqrt(0.75) // of (a + b)/2 with correlation ½
	c := must(law.NewCopula([]law.Law{n, n, n, n}, [][]float64{
		{1, h, -1, 0.75 / s},
		{h, 1, -h, 0.75 / s},
		{-1, -h, 1, -0.75 / s},
		{0.75 / s, 0.75 / s, -0.75 / s, 1},
	}))
	out := columns(c, 1000, 1000)
	for i := range out[0] {
		if out[2][i] != -out[0][i] {
			t.Fatalf("sample %d: %v is not the opposite of %v", i, out[2][i], out[0][i])
		}
		if want := (out[0][i] + out[1][i]) / 2 / s; math.Abs(out[3][i]-want) > 1e-12 {
			t.Fatalf("sample %d: %v, want %v", i, out[3][i], want)
		}
	}
	// all the same
	ones := [][]float64{{1, 1, 1}, {1, 1, 1}, {1, 1, 1}}
	c = must(law.NewCopula([]law.Law{n, n, must(law.NewUniform(0, 1))}, ones))
	out = columns(c, 1000, 500)
	for i, x := range out[0] {
		if out[1][i] != x || math.Abs(out[2][i]-math.Erfc(-x/math.Sqrt2)/2) > 1e-14 {
			t.Fatalf("sample %d: %v %v %v", i, x, out[1][i], out[2][i])
		}
	}
}

// Five deviations of two sources: whatever the numbers, all are combinations of the first two.
func TestCopula_ofRankTwo(t *testing.T) {
	n := must(law.NewNormal(0, 1))
	s := law.NewStream(8, "factors", 0)
	for range 50 {
		var f [5][2]float64
		correlation := make([][]float64, 5)
		for i := range f {
			sin, cos := math.Sincos(2 * math.Pi * s.Float64())
			f[i] = [2]float64{cos, sin}
			correlation[i] = make([]float64, 5)
		}
		for i := range f {
			for j := range f {
				correlation[i][j] = f[i][0]*f[j][0] + f[i][1]*f[j][1]
			}
			correlation[i][i] = 1
		}
		det := f[0][0]*f[1][1] - f[0][1]*f[1][0]
		if math.Abs(det) < 0.1 {
			continue
		}
		out := columns(must(law.NewCopula([]law.Law{n, n, n, n, n}, correlation)), 100, 100)
		for i := 2; i < 5; i++ {
			u := (f[i][0]*f[1][1] - f[i][1]*f[1][0]) / det
			v := (f[0][0]*f[i][1] - f[0][1]*f[i][0]) / det
			for k := range out[i] {
				if want := u*out[0][k] + v*out[1][k]; !(math.Abs(out[i][k]-want) < 1e-12) {
					t.Fatalf("deviation %d, sample %d: %v, want %v", i, k, out[i][k], want)
				}
			}
		}
	}
}

func TestCopula_lawsAddedAtTheEndLeaveTheOthersAlone(t *testing.T) {
	n := must(law.NewNormal(0, 1))
	two := columns(must(law.NewCopula([]law.Law{n, n}, [][]float64{{1, 0.3}, {0.3, 1}})), 100, 100)
	three := columns(must(law.NewCopula([]law.Law{n, n, n}, [][]float64{{1, 0.3, 0.1}, {0.3, 1, 0.9}, {0.1, 0.9, 1}})), 100, 50)
	for i := range two[0] {
		if two[0][i] != three[0][i] || two[1][i] != three[1][i] {
			t.Fatalf("sample %d: %v %v, then %v %v", i, two[0][i], two[1][i], three[0][i], three[1][i])
		}
	}
}

func TestCopula_oneStream(t *testing.T) {
	n := must(law.NewNormal(0, 1))
	c := must(law.NewCopula([]law.Law{n, n}, [][]float64{{1, 0}, {0, 1}}))
	draw := func() [2][3]float64 {
		var out [2][3]float64
		c.Draw([][]float64{out[0][:], out[1][:]}, nil, []law.Stream{law.NewStream(1, "both", 0)})
		return out
	}
	if a, b := draw(), draw(); a != b || a[0] == a[1] {
		t.Error(a, b)
	}
}

func TestNewCopula_badMatrix(t *testing.T) {
	n := must(law.NewNormal(0, 1))
	for _, c := range []struct {
		matrix [][]float64
		want   string
	}{
		{nil, "copula/number of rows: 0: out of range: want one for each law, and at least one"},
		{[][]float64{{1, 0}, {0}, {0, 0, 1}}, "copula/length of row 0: 2: out of range: want one entry for each law"},
		{[][]float64{{1, 0, 0}, {0, 2, 0}, {0, 0, 1}}, "copula/correlation of 1 with 1: 2: out of range: want −1 to 1"},
		{[][]float64{{1, 0, 0}, {0, 0.9, 0}, {0, 0, 1}}, "copula/correlation of 1 with 1: 0.9: out of range: want 1, of a deviation with itself"},
		{[][]float64{{1, 0, 0}, {0.1, 1, 0}, {0, 0, 1}}, "copula/correlation of 1 with 0: 0.1: out of range: want 0 as the other way round"},
		{[][]float64{{1, 0, 0}, {0, 1, math.NaN()}, {0, 0, 1}}, "copula/correlation of 1 with 2: NaN: out of range: want −1 to 1"},
		// Source: hand calculation: three equal correlations r have the eigenvalue 1 + 2r.
		{[][]float64{{1, -0.6, -0.6}, {-0.6, 1, -0.6}, {-0.6, -0.6, 1}}, "copula/smallest eigenvalue of the correlation matrix: -0.2: out of range: want none below 0: no deviations are correlated like this; bring the correlations nearer to 0"},
	} {
		_, err := law.NewCopula([]law.Law{n, n, n}, c.matrix)
		if fmt.Sprint(err) != c.want || !errors.Is(err, fault.ErrOutOfRange) {
			t.Errorf("error %q, want %q", fmt.Sprint(err), c.want)
		}
	}
}

func TestShared_draws(t *testing.T) {
	// Two pilots moved by one wedge, one of them also by its own error; the last row stands still.
	c := must(law.NewShared(
		[]law.Law{must(law.NewUniform(-0.02, 0.04)), must(law.NewNormal(0, 0.005))},
		[][]float64{{1, 0}, {-2.5, 1}, {0, 0}},
	))
	matches(t, c, columns(c, 100_000, 1000))
	// Source: hand calculation: variance 0.06²/12 = 3e-4; −2.5·3e-4; 6.25·3e-4 + 2.5e-5.
	near(t, "variance", c.Covariance(0, 0), 3e-4, 1e-13)
	near(t, "covariance", c.Covariance(0, 1), -7.5e-4, 1e-13)
	near(t, "variance of the sum", c.Covariance(1, 1), 1.9e-3, 1e-13)
	if c.Covariance(2, 1) != 0 {
		t.Error("what stands still varies with another")
	}
	if _, bounded := c.Reach(); bounded {
		t.Error("a normal source has limits")
	}
}

func TestJoint_Draw_allocs(t *testing.T) {
	u, n := must(law.NewUniform(0, 1)), must(law.NewNormal(0, 1))
	laws := []law.Law{u, n, must(law.NewBeta(0, 1, 2, 3))}
	for _, j := range []law.Joint{
		must(law.NewCopula(laws, [][]float64{{1, 0.5, 0}, {0.5, 1, 0.2}, {0, 0.2, 1}})),
		must(law.NewShared(laws, [][]float64{{1, 2, 3}, {0, 1, 1}})),
	} {
		dst, work := make([][]float64, j.Columns()), make([]float64, 64)
		for i := range dst {
			dst[i] = make([]float64, 64)
		}
		s := []law.Stream{law.NewStream(1, "x", 0)}
		if got := testing.AllocsPerRun(5, func() { j.Draw(dst, work, s) }); got != 0 {
			t.Errorf("%T: %v allocations", j, got)
		}
	}
}
