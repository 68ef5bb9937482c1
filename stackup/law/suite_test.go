package law_test

import (
	"math"
	"sort"
	"strings"
	"testing"

	"example.com/borestack/stackup/law"
)

// every runs a test on every law.
func every(t *testing.T, test func(t *testing.T, s subject)) {
	t.Helper()
	for _, s := range subjects(t) {
		t.Run(s.name, func(t *testing.T) { test(t, s) })
	}
}

// shares are probabilities from the far tail to the middle.
var shares = []float64{1e-15, 1e-12, 1e-9, 1e-6, 1e-4, 1e-3, 0.01, 0.05, 0.1, 0.25, 0.4, 0.4999, 0.5, 0.6, 0.75, 0.9, 0.99, 0.999, 1 - 1e-6, 1 - 1e-9}

func TestLaw_tailsAddUpToOne(t *testing.T) {
	every(t, func(t *testing.T, s subject) {
		low, high := s.law.Support()
		points := []float64{low, high, math.Nextafter(low, math.Inf(-1)), math.Nextafter(high, math.Inf(1)), -1e9, 0, 1e9}
		for _, p := range shares {
			points = append(points, s.law.Quantile(p), s.law.UpperQuantile(p))
		}
		for _, x := range points {
			below, above := s.law.CDF(x), s.law.Survival(x)
			if !(below >= 0 && below <= 1 && above >= 0 && above <= 1) || math.Abs(below+above-1) > 1e-11 {
				t.Errorf("at %v: below %v + above %v", x, below, above)
			}
		}
		sort.Float64s(points)
		for i := 1; i < len(points); i++ {
			const noise = 1e-12 // of quadratures
			a, b := points[i-1], points[i]
			if s.law.CDF(b) < s.law.CDF(a)*(1-noise) || s.law.Survival(b)*(1-noise) > s.law.Survival(a) {
				t.Errorf("tails are not monotone between %v and %v", a, b)
			}
		}
		if !math.IsNaN(s.law.Quantile(-0.1)) || !math.IsNaN(s.law.Quantile(1.1)) || !math.IsNaN(s.law.Quantile(math.NaN())) ||
			!math.IsNaN(s.law.UpperQuantile(-0.1)) || !math.IsNaN(s.law.UpperQuantile(1.1)) || !math.IsNaN(s.law.UpperQuantile(math.NaN())) {
			t.Error("a quantile of no probability")
		}
	})
}

// The quantile undoes the tail to a few units of the last place, or as closely as neighbouring floats allow.
func TestLaw_quantileInvertsTheTails(t *testing.T) {
	every(t, func(t *testing.T, s subject) {
		low, high := s.law.Support()
		if s.law.Quantile(0) != low || s.law.Quantile(1) != high || s.law.UpperQuantile(0) != high || s.law.UpperQuantile(1) != low {
			t.Errorf("ends %v %v and %v %v, support %v %v", s.law.Quantile(0), s.law.Quantile(1), s.law.UpperQuantile(1), s.law.UpperQuantile(0), low, high)
		}
		for _, p := range shares {
			if s.steps {
				x := s.law.Quantile(p)
				if s.law.CDF(x) < p*(1-1e-15) || s.law.CDF(math.Nextafter(x, math.Inf(-1))) > p*(1+1e-15) {
					t.Errorf("quantile %v: %v", p, x)
				}
				x = s.law.UpperQuantile(p)
				if s.law.Survival(x) > p*(1+1e-15) || s.law.Survival(math.Nextafter(x, math.Inf(-1))) < p*(1-1e-15) {
					t.Errorf("upper quantile %v: %v", p, x)
				}
				continue
			}
			check := func(what string, x float64, tail func(float64) float64) {
				t.Helper()
				grid := math.Abs(tail(math.Nextafter(x, math.Inf(1))) - tail(math.Nextafter(x, math.Inf(-1))))
				if got := tail(x); !(math.Abs(got-p) <= 2e-12*p+2*grid) {
					t.Errorf("%s %v: %v, of which the tail is %v", what, p, x, got)
				}
			}
			check("quantile", s.law.Quantile(p), s.law.CDF)
			check("upper quantile", s.law.UpperQuantile(p), s.law.Survival)
		}
	})
}

// Moments against E g(Q(Φ(z))) by the trapezoid rule over z.
func TestLaw_momentsAgainstQuadrature(t *testing.T) {
	every(t, func(t *testing.T, s subject) {
		if s.rough == 0 {
			return
		}
		pitch, reach := 1.0/32, 37.0
		if s.slow {
			pitch, reach = 1.0/12, 10
		}
		var x, w []float64
		for z := -reach; z <= reach; z += pitch {
			q := math.Erfc(math.Abs(z)/math.Sqrt2) / 2
			if z < 0 {
				x = append(x, s.law.Quantile(q))
			} else {
				x = append(x, s.law.UpperQuantile(q))
			}
			w = append(w, math.Exp(-z*z/2)/math.Sqrt(2*math.Pi)*pitch)
		}
		m := s.law.Moments()
		var mean, m2, m3, m4 float64
		for i := range x {
			mean += w[i] * (x[i] - m.Mean)
		}
		mean += m.Mean
		for i := range x {
			d := (x[i] - mean) / m.SD()
			m2 += w[i] * d * d
			m3 += w[i] * d * d * d
			m4 += w[i] * d * d * d * d
		}
		for _, c := range []struct {
			what             string
			got, want, share float64
		}{
			{"mean", 0, (mean - m.Mean) / m.SD(), 1},
			{"variance", 1, m2, 2},
			{"skewness", m.Skewness, m3 / math.Pow(m2, 1.5), 10},
			{"excess kurtosis", m.ExcessKurtosis, m4/(m2*m2) - 3, 100 * (1 + math.Abs(m.ExcessKurtosis))},
		} {
			if c.what == "excess kurtosis" && strings.HasPrefix(s.name, "Student's t, 6") { // the sum ends too early
				continue
			}
			if !(math.Abs(c.got-c.want) <= s.rough*c.share) {
				t.Errorf("%s: %.12g, quadrature %.12g", c.what, c.got, c.want)
			}
		}
	})
}

// Source: Kolmogorov's limit law P(√n D > d) ≈ 2 exp(−2d²): at 1e-6, d = √(ln(2e6)/2).
func TestLaw_drawsAgainstCDF(t *testing.T) {
	const n = 100_000
	critical := math.Sqrt(math.Log(2e6)/2) / math.Sqrt(n)
	every(t, func(t *testing.T, s subject) {
		stream := law.NewStream(20, s.name, 0)
		x := make([]float64, n)
		for from := 0; from < n; from += 1000 {
			s.law.Draw(x[from:from+1000], &stream)
		}
		sort.Float64s(x)
		low, high := s.law.Support()
		if x[0] < low || x[n-1] > high {
			t.Errorf("draws %v to %v, support %v to %v", x[0], x[n-1], low, high)
		}
		stride := 10 // hides at most 1e-4
		if s.slow {
			stride = 100
		}
		var worst float64
		for i := 0; i < n; i += stride {
			j := i + 1 // the end of a run of equal values
			for j < n && x[j] == x[i] {
				j++
			}
			worst = max(worst, float64(j)/n-s.law.CDF(x[i]), s.law.CDF(math.Nextafter(x[i], math.Inf(-1)))-float64(i)/n)
			if j > i+stride {
				i = (j - 1) / stride * stride
			}
		}
		if worst > critical {
			t.Errorf("draws are %v from the CDF, more than %v", worst, critical)
		}
	})
}

func TestLaw_Draw_allocs(t *testing.T) {
	every(t, func(t *testing.T, s subject) {
		stream := law.NewStream(1, "x", 0)
		dst := make([]float64, 256)
		if n := testing.AllocsPerRun(5, func() { s.law.Draw(dst, &stream) }); n != 0 {
			t.Errorf("%v allocations", n)
		}
	})
}

func TestLaw_inverseDraws(t *testing.T) {
	every(t, func(t *testing.T, s subject) {
		z := []float64{-6, -1, 0, 0.5, 7}
		law.FromNormals(s.law, z, z)
		for i, v := range []float64{-6, -1, 0, 0.5, 7} {
			want := s.law.Quantile(math.Erfc(-v/math.Sqrt2) / 2)
			if v > 0 {
				want = s.law.UpperQuantile(math.Erfc(v/math.Sqrt2) / 2)
			}
			if !(math.Abs(z[i]-want) <= 1e-12*math.Abs(want)+1e-15) {
				t.Errorf("at z = %v: %v, want %v", v, z[i], want)
			}
		}
	})
}
