package law_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"example.com/borestack/internal/check"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
)

// columns draws n samples in blocks from a joint law.
func columns(j law.Joint, n, block int) [][]float64 {
	out := make([][]float64, j.Columns())
	for i := range out {
		out[i] = make([]float64, n)
	}
	stream := law.NewStream(11, "sources", 0)
	part, work := make([][]float64, len(out)), make([]float64, block)
	for from := 0; from < n; from += block {
		for i := range out {
			part[i] = out[i][from : from+block]
		}
		j.Draw(part, work, &stream)
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

func TestShared_draws(t *testing.T) {
	// Two pilots moved by one wedge, one of them also by its own error; the last row stands still.
	c := stacktest.Must(law.NewShared(
		[]law.Law{stacktest.Must(law.NewUniform(-0.02, 0.04)), stacktest.Must(law.NewNormal(0, 0.005))},
		[][]float64{{1, 0}, {-2.5, 1}, {0, 0}},
	))
	matches(t, c, columns(c, 100_000, 1000))
	// Source: hand calculation: variance 0.06²/12 = 3e-4; −2.5·3e-4; 6.25·3e-4 + 2.5e-5.
	check.Relative(t, "variance", c.Covariance(0, 0), 3e-4, 1e-13)
	check.Relative(t, "covariance", c.Covariance(0, 1), -7.5e-4, 1e-13)
	check.Relative(t, "variance of the sum", c.Covariance(1, 1), 1.9e-3, 1e-13)
	if c.Covariance(2, 1) != 0 {
		t.Error("what stands still varies with another")
	}
	if _, bounded := c.Reach(); bounded {
		t.Error("a normal source has limits")
	}
}

func TestJoint_Draw_allocs(t *testing.T) {
	u, n := stacktest.Must(law.NewUniform(0, 1)), stacktest.Must(law.NewNormal(0, 1))
	laws := []law.Law{u, n, stacktest.Must(law.NewBeta(0, 1, 2, 3))}
	for _, j := range []law.Joint{
		stacktest.Must(law.NewNormals([]float64{1, 2}, [][]float64{{1, 0.5}, {0.5, 1}})),
		stacktest.Must(law.NewShared(laws, [][]float64{{1, 2, 3}, {0, 1, 1}})),
	} {
		dst, work := make([][]float64, j.Columns()), make([]float64, 64)
		for i := range dst {
			dst[i] = make([]float64, 64)
		}
		s := law.NewStream(1, "x", 0)
		if got := testing.AllocsPerRun(5, func() { j.Draw(dst, work, &s) }); got != 0 {
			t.Errorf("%T: %v allocations", j, got)
		}
	}
}

// Sums of normal deviations have the variance that the covariance says; what is singular cancels.
func TestNewNormals_draws(t *testing.T) {
	cov := [][]float64{{4, 3, -4}, {3, 9, -3}, {-4, -3, 4}} // the third is the first, turned round
	c := stacktest.Must(law.NewNormals([]float64{1, 0, -1}, cov))
	for i, row := range cov {
		if m := c.Mean(i); m != []float64{1, 0, -1}[i] {
			t.Errorf("mean %d: %v", i, m)
		}
		for j, v := range row {
			check.Relative(t, fmt.Sprint("covariance ", i, j), c.Covariance(i, j), v, 1e-12)
		}
	}
	out := columns(c, 100_000, 1000)
	matches(t, c, out)
	for k, x := range out[0] {
		if math.Abs(x+out[2][k]) > 1e-12 {
			t.Fatalf("%v and %v do not cancel", x, out[2][k])
		}
	}
	if _, bounded := c.Reach(); bounded {
		t.Error("normal deviations have limits")
	}
	constant := stacktest.Must(law.NewNormals([]float64{2, 0}, [][]float64{{0, 0}, {0, 1}}))
	if constant.Mean(0) != 2 || constant.Covariance(0, 0) != 0 || constant.Covariance(1, 1) != 1 {
		t.Error("a variance of 0 is a constant")
	}
}

func TestNewNormals_errors(t *testing.T) {
	for _, c := range []struct {
		cov  [][]float64
		want string
	}{
		{nil, "joint normal/number of rows: 0: out of range: want one for each mean, and at least one"},
		{[][]float64{{1, 0}, {0}, {0}}, "joint normal/length of row 0: 2: out of range: want one entry for each mean"},
		{[][]float64{{1, 0, 0}, {0, -1, 0}, {0, 0, 1}}, "joint normal/variance 1: -1: out of range: want >= 0"},
		{[][]float64{{1, 0, 0}, {0.5, 1, 0}, {0, 0, 1}}, "joint normal/covariance of 1 with 0: 0.5: out of range: want 0 as the other way round"},
		{[][]float64{{1, 2, 0}, {2, 1, 0}, {0, 0, 1}}, "joint normal/covariance of 1 with 0: 2: out of range: want its size at most √(variance · variance)"},
		{[][]float64{{1, -0.6, -0.6}, {-0.6, 1, -0.6}, {-0.6, -0.6, 1}}, "joint normal/smallest eigenvalue of the correlations: -0.2: out of range: want none below 0: no deviations are correlated like this; bring the correlations nearer to 0"},
	} {
		if _, err := law.NewNormals(make([]float64, 3), c.cov); fmt.Sprint(err) != c.want || !errors.Is(err, fault.ErrOutOfRange) {
			t.Errorf("error %q, want %q", fmt.Sprint(err), c.want)
		}
	}
}
