package law_test

import (
	"fmt"
	"math"
	"testing"

	"example.com/borestack/internal/check"

	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
)

func TestStandardQuantile_published(t *testing.T) {
	for _, row := range table(t, "inverse_normal.csv") {
		p, z := row[0], row[1]
		tolerance := 4e-16 * math.Abs(z)
		if p > 0.5 { // p itself is rounded
			tolerance += 0x1p-54 / (math.Exp(-z*z/2) / math.Sqrt(2*math.Pi))
		}
		if got := law.StandardQuantile(p); math.Abs(got-z) > tolerance+1e-16 {
			t.Errorf("%v: %.17g, want %.17g", p, got, z)
		}
	}
}

func TestFromCpk_capability(t *testing.T) {
	for _, row := range table(t, "capability_ppm.csv") {
		cp := row[0]
		centred := stacktest.Must(law.FromCpk(9.98, 10.02, cp, 0))
		check.Relative(t, fmt.Sprint("one-sided ppm of Cpk ", cp), 1e6*centred.Survival(10.02), row[1], 1e-10)
		check.Relative(t, fmt.Sprint("two-sided ppm of Cpk ", cp), 1e6*(centred.CDF(9.98)+centred.Survival(10.02)), row[2], 1e-10)
		if cp > 0.5 { // Source: hand calculation: a shift of 1.5 sd takes 1.5/3 off Cp
			shifted := stacktest.Must(law.FromCpk(-1, 1, cp-0.5, 1.5/(3*cp)))
			check.Relative(t, fmt.Sprint("one-sided ppm, shifted, of Cp ", cp), 1e6*shifted.Survival(1), row[4], 1e-10)
			check.Relative(t, fmt.Sprint("two-sided ppm, shifted, of Cp ", cp), 1e6*(shifted.CDF(-1)+shifted.Survival(1)), row[5], 1e-10)
			check.Relative(t, "sd", shifted.Moments().SD(), 1/(3*cp), 1e-14)
			check.Relative(t, "mean", shifted.Moments().Mean, 1.5/(3*cp), 1e-14)
		}
	}
}

// Source: JCGM 101:2008, 9.5 (gauge-block calibration): the standard deviations of its two curvilinear trapezoids, 5.782e-7 and 0.03005; variance by 6.4.3.4.
func TestCurvilinearTrapezoid_published(t *testing.T) {
	for _, c := range []struct{ low, high, inexact, sd float64 }{
		{-1e-6, 1e-6, 0.1e-6, 5.782e-7},
		{-0.050, 0.050, 0.025, 0.03005},
	} {
		l := stacktest.Must(law.NewCurvilinearTrapezoid(c.low, c.high, c.inexact))
		check.Relative(t, "sd", l.Moments().SD(), c.sd, 0.5e-3)
		w := c.high - c.low
		check.Relative(t, "variance", l.Moments().Variance, w*w/12+c.inexact*c.inexact/9, 1e-14)
	}
}

// The distribution function against the integral of the published density.
//
// Source: JCGM 101:2008, 6.4.3.3: with middle m, half-width w and inexactness d, the density is log((w+d)/max(|x−m|, w−d))/(4d).
func TestCurvilinearTrapezoid_density(t *testing.T) {
	for _, c := range []struct{ low, high, d float64 }{{-1, 1, 0.3}, {0, 4, 2}, {-3, 5, 1e-4}} {
		l := stacktest.Must(law.NewCurvilinearTrapezoid(c.low, c.high, c.d))
		m, w := (c.low+c.high)/2, (c.high-c.low)/2
		density := func(x float64) float64 {
			return math.Log((w+c.d)/max(math.Abs(x-m), w-c.d)) / (4 * c.d)
		}
		for _, share := range []float64{0.01, 0.3, 0.999, 1, 1.5} { // of the flank, then past it
			x := m + w + c.d - min(share*2*c.d, w+c.d)
			const n = 20_000
			var sum float64 // midpoint rule
			for i := range n {
				sum += density(x+(m+w+c.d-x)*(float64(i)+0.5)/n) * (m + w + c.d - x) / n
			}
			check.Relative(t, fmt.Sprint(c, " survival ", x), l.Survival(x), sum, 1e-4)
			check.Relative(t, fmt.Sprint(c, " CDF ", 2*m-x), l.CDF(2*m-x), sum, 1e-4)
		}
		// no jump where the flank ends
		end := m + w - c.d
		slope := density(end) * 1e-9
		if got := l.Survival(end-0.5e-9) - l.Survival(end+0.5e-9); math.Abs(got-slope) > 1e-3*slope+1e-15 {
			t.Errorf("%v: step %v at the end of the flank, want %v", c, got, slope)
		}
	}
}

// Source: hand calculation: of five values two are at most 9 and three at most 12 µm.
func TestSample_sharesThatAreMultiples(t *testing.T) {
	s := stacktest.Must(law.NewSample([]float64{12, 9, 15, 7, 18}))
	d := stacktest.Must(law.NewDiscrete([]float64{12, 9, 15, 7, 18}, []float64{1, 1, 1, 1, 1}))
	for _, l := range []law.Law{s, d} {
		for p, want := range map[float64]float64{0.2: 7, 0.4: 9, 0.6: 12, 0.8: 15, 0.81: 18} {
			if got := l.Quantile(p); got != want {
				t.Errorf("%T: quantile %v is %v, want %v", l, p, got, want)
			}
		}
		for q, want := range map[float64]float64{0.19: 18, 0.2: 15, 0.4: 12, 0.6: 9, 0.8: 7} {
			if got := l.UpperQuantile(q); got != want {
				t.Errorf("%T: upper quantile %v is %v, want %v", l, q, got, want)
			}
		}
	}
	m := s.Moments()
	check.Relative(t, "mean", m.Mean, 12.2, 1e-15)
	check.Relative(t, "variance", m.Variance, 15.76, 1e-14)
}

// Source: JCGM 101:2008, 6.4.4.4: variance (width²/24)(1 + β²); with β = 0 and 1 the triangular and the uniform law.
func TestTrapezoidal_limits(t *testing.T) {
	triangular, uniform := stacktest.Must(law.NewTriangular(1, 2)), stacktest.Must(law.NewUniform(-1, 3))
	narrow, wide := stacktest.Must(law.NewTrapezoidal(-1, 3, 0)), stacktest.Must(law.NewTrapezoidal(-1, 3, 1))
	for _, x := range []float64{-1, -0.9, 0, 1, 1.7, 2.999, 3} {
		check.Relative(t, "top 0", narrow.CDF(x), triangular.CDF(x), 1e-15)
		check.Relative(t, "top 1", wide.CDF(x), uniform.CDF(x), 1e-15)
	}
	if narrow.Moments() != triangular.Moments() || wide.Moments() != uniform.Moments() {
		t.Error(narrow.Moments(), wide.Moments())
	}
	check.Relative(t, "variance", stacktest.Must(law.NewTrapezoidal(0, 6, 0.5)).Moments().Variance, 36.0/24*1.25, 1e-15)
}

// Closed forms of Student's t.
//
// Source: Johnson, Kotz and Balakrishnan, Continuous univariate distributions 2 (1995), chapter 28: 1 degree of freedom ½ − atan(t)/π, 2: ½ − t/(2√(2+t²)), 4 by the series in cos² θ. JCGM 100:2008 table G.2 for the quantiles: 95 % and 99.73 % of both sides.
func TestStudent_published(t *testing.T) {
	one, two := stacktest.Must(law.NewStudent(0, 1, 1)), stacktest.Must(law.NewStudent(0, 1, 2))
	for _, x := range []float64{1e-8, 0.3, 0.99, 1.01, 5, 1e3, 1e8, 1e200} {
		check.Relative(t, fmt.Sprint("1 degree at ", x), one.Survival(x), math.Atan(1/x)/math.Pi, 1e-13)
		check.Relative(t, fmt.Sprint("2 degrees at ", x), two.Survival(x), 1/(math.Hypot(math.Sqrt2, x)*(math.Hypot(math.Sqrt2, x)+x)), 1e-13)
	}
	for _, q := range []float64{1e-300, 1e-15, 1e-3, 0.2, 0.3, 0.49999} {
		check.Relative(t, fmt.Sprint("upper quantile ", q), one.UpperQuantile(q), 1/math.Tan(math.Pi*q), 1e-11)
	}
	for _, c := range []struct{ dof, p95, p9973 float64 }{{1, 12.71, 235.80}, {2, 4.30, 19.21}, {5, 2.57, 5.51}, {10, 2.23, 3.96}, {20, 2.09, 3.42}, {50, 2.01, 3.16}, {100, 1.984, 3.077}} {
		l := stacktest.Must(law.NewStudent(0, 1, c.dof))
		if got := l.UpperQuantile(0.025); math.Abs(got-c.p95) > 0.00501 {
			t.Errorf("%v degrees, 95 %%: %v, want %v", c.dof, got, c.p95)
		}
		if got := l.UpperQuantile(math.Erfc(3/math.Sqrt2) / 2); math.Abs(got-c.p9973) > 0.00501 {
			t.Errorf("%v degrees, 99.73 %%: %v, want %v", c.dof, got, c.p9973)
		}
	}
	// They tend to the normal law, and are taken for it from a million degrees on: Source: survival + φ(t)(t³ + t)/(4ν)
	// to first order (Fisher 1926).
	for _, c := range []struct{ v, within float64 }{{9e5, 1e-7}, {1e6, 3e-4}} {
		many := stacktest.Must(law.NewStudent(0, 1, c.v))
		for _, x := range []float64{0.5, 3, 5.5} {
			phi := math.Exp(-x*x/2) / math.Sqrt(2*math.Pi)
			check.Relative(t, fmt.Sprint(c.v, " degrees at ", x), many.Survival(x), math.Erfc(x/math.Sqrt2)/2+phi*(x*x*x+x)/(4*c.v), c.within)
		}
	}
}

// For whole shapes the beta law is a binomial sum: P(X ≤ x) = Σ_{j≥a} C(n, j) x^j (1−x)^(n−j), n = a + b − 1.
//
// Source: NIST DLMF 8.17.5.
func TestBeta_binomialSums(t *testing.T) {
	for _, c := range [][2]int{{1, 1}, {2, 5}, {7, 3}, {20, 30}} {
		a, b := c[0], c[1]
		l := stacktest.Must(law.NewBeta(0, 1, float64(a), float64(b)))
		for _, x := range []float64{1e-12, 1e-3, 0.1, 0.35, 0.5, 0.8, 0.99, 1 - 0x1p-30} {
			var below, above float64
			n := a + b - 1
			choose := 1.0
			for j := 0; j <= n; j++ {
				term := choose * math.Pow(x, float64(j)) * math.Pow(1-x, float64(n-j))
				if j >= a {
					below += term
				} else {
					above += term
				}
				choose *= float64(n-j) / float64(j+1)
			}
			check.Relative(t, fmt.Sprint("shapes ", a, b, " CDF ", x), l.CDF(x), below, 1e-11)
			check.Relative(t, fmt.Sprint("shapes ", a, b, " survival ", x), l.Survival(x), above, 1e-11)
		}
	}
}

// Source: hand calculation: medians exp(µ), λ (ln 2)^(1/k); the exponential law has mean 1, variance 1, skewness 2, excess kurtosis 6; the lognormal law with s² = ln 2 has variance e^(2µ)·2, skewness 4.
func TestSkewedLaws_closedForms(t *testing.T) {
	w := stacktest.Must(law.NewWeibull(1, 2, 3))
	check.Relative(t, "Weibull median", w.Quantile(0.5), 1+2*math.Cbrt(math.Ln2), 1e-14)
	check.Relative(t, "Weibull survival", w.Survival(7), math.Exp(-27), 1e-14)
	check.Relative(t, "Weibull CDF", w.CDF(1+2e-5), 1e-15, 1e-9)
	e := stacktest.Must(law.NewWeibull(0, 1, 1)).Moments()
	for i, c := range [][2]float64{{e.Mean, 1}, {e.Variance, 1}, {e.Skewness, 2}, {e.ExcessKurtosis, 6}} {
		check.Relative(t, fmt.Sprint("exponential moment ", i+1), c[0], c[1], 1e-12)
	}
	for _, shape := range []float64{0.124, 0.126} { // either side of the closed forms
		m := stacktest.Must(law.NewWeibull(0, 1, shape)).Moments()
		g := func(n float64) float64 { return math.Gamma(1 + n/shape) }
		check.Relative(t, "heavy mean", m.Mean, g(1), 1e-10)
		check.Relative(t, "heavy variance", m.Variance, g(2)-g(1)*g(1), 1e-10)
		check.Relative(t, "heavy skewness", m.Skewness, (g(3)-3*g(1)*g(2)+2*g(1)*g(1)*g(1))/math.Pow(g(2)-g(1)*g(1), 1.5), 1e-9)
	}
	l := stacktest.Must(law.NewLogNormal(0, 0.3, math.Sqrt(math.Ln2)))
	m := l.Moments()
	check.Relative(t, "lognormal median", l.Quantile(0.5), math.Exp(0.3), 1e-14)
	check.Relative(t, "lognormal variance", m.Variance, 2*math.Exp(0.6), 1e-14)
	check.Relative(t, "lognormal skewness", m.Skewness, 4, 1e-14)
	check.Relative(t, "lognormal kurtosis", m.ExcessKurtosis, 16+2*8+3*4-6, 1e-14)
	narrow := stacktest.Must(law.NewLogNormal(0, 0, 1e-5)).Moments()
	check.Relative(t, "narrow lognormal skewness", narrow.Skewness, 3e-5, 1e-9)
	check.Relative(t, "narrow lognormal kurtosis", narrow.ExcessKurtosis, 16e-10, 1e-8)
}

// Source: Johnson, Kotz and Balakrishnan, Continuous univariate distributions 1 (1994), 13.10: with a, b the standardised limits and Z = Φ(b) − Φ(a), mean (φ(a) − φ(b))/Z and variance 1 + (aφ(a) − bφ(b))/Z − mean².
func TestTruncate_normalClosedForms(t *testing.T) {
	phi := func(z float64) float64 { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }
	for _, c := range [][2]float64{{-3, 3}, {-1, 2}, {0, 1}, {-2, 0.5}, {1, 3}, {-4, 8}} {
		a, b := c[0], c[1]
		z := (math.Erf(b/math.Sqrt2) - math.Erf(a/math.Sqrt2)) / 2
		mean := (phi(a) - phi(b)) / z
		variance := 1 + (a*phi(a)-b*phi(b))/z - mean*mean
		m := stacktest.Must(law.Truncate(stacktest.Must(law.NewNormal(10, 0.5)), 10+a/2, 10+b/2)).Moments()
		if math.Abs(m.Mean-(10+mean/2)) > 1e-13 {
			t.Errorf("%v: mean %v, want %v", c, m.Mean, 10+mean/2)
		}
		check.Relative(t, fmt.Sprint(c, " variance"), m.Variance, variance/4, 1e-13)
	}
	// Far tails. Source: Mills' ratio, Abramowitz and Stegun 26.2.12: mean − a ≈ 1/a − 2/a³ + 10/a⁵, variance ≈ 1/a² − 6/a⁴ + 50/a⁶; shape of the exponential law.
	l := stacktest.Must(law.Truncate(stacktest.Must(law.NewNormal(0, 1)), math.Inf(-1), -30)).Moments()
	const a = 30.0
	check.Relative(t, "far tail mean", -l.Mean-a, 1/a-2/math.Pow(a, 3)+10/math.Pow(a, 5)-74/math.Pow(a, 7), 1e-6)
	check.Relative(t, "far tail variance", l.Variance, 1/(a*a)-6/math.Pow(a, 4)+50/math.Pow(a, 6)-518/math.Pow(a, 8), 1e-4)
	// A narrow slice is uniform. Source: hand calculation: width²/12, and its mean is pulled from the middle by −middle·width²/12.
	s := stacktest.Must(law.Truncate(stacktest.Must(law.NewNormal(0, 1)), 2, 2.001)).Moments()
	check.Relative(t, "slice variance", s.Variance, 1e-6/12, 1e-6)
	check.Relative(t, "slice pull", s.Mean-2.0005, -2.0005*1e-6/12, 1e-5)
}

// Source: hand calculation: an exponential law cut off at c has mean 1 − c/(e^c − 1) and variance 1 − c² e^c/(e^c − 1)²; a uniform law cut off is uniform.
func TestTruncate_others(t *testing.T) {
	const c = 2.0
	m := stacktest.Must(law.Truncate(stacktest.Must(law.NewWeibull(0, 1, 1)), -1, c)).Moments()
	e := math.Expm1(c)
	check.Relative(t, "mean", m.Mean, 1-c/e, 1e-12)
	check.Relative(t, "variance", m.Variance, 1-c*c*(e+1)/(e*e), 1e-12)
	u := stacktest.Must(law.Truncate(stacktest.Must(law.NewUniform(0, 4)), 1, 3))
	check.Relative(t, "uniform variance", u.Moments().Variance, 4.0/12, 1e-12)
	check.Relative(t, "uniform CDF", u.CDF(1.5), 0.25, 1e-14)
	d := stacktest.Must(law.Truncate(stacktest.Must(law.NewDiscrete([]float64{-1, 0, 1, 2}, []float64{1, 2, 4, 1})), 0, 1))
	check.Relative(t, "discrete CDF at the lower limit", d.CDF(0), 1.0/3, 1e-14)
	check.Relative(t, "discrete survival at the lower limit", d.Survival(0), 2.0/3, 1e-14)
}

func TestTruncate_farTailOfWhatIsLeft(t *testing.T) {
	// Source: hand calculation: near its upper limit b the truncated normal law has survival φ(b) d/Z + …, d the distance to b.
	l := stacktest.Must(law.Truncate(stacktest.Must(law.NewNormal(0, 1)), -3, 3))
	d := 3 - (3 - 0x1p-40)
	z := math.Erf(3 / math.Sqrt2)
	check.Relative(t, "survival", l.Survival(3-0x1p-40), math.Exp(-4.5)/math.Sqrt(2*math.Pi)*d*(1+1.5*d)/z, 1e-12)
	check.Relative(t, "CDF", l.CDF(-3+0x1p-40), math.Exp(-4.5)/math.Sqrt(2*math.Pi)*d*(1+1.5*d)/z, 1e-12)
}
