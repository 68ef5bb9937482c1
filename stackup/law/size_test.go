package law_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"example.com/borestack/internal/check"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/law"
)

func size(t testing.TB, mx, my, vxx, vyy, vxy float64) law.Law {
	t.Helper()
	l, err := law.NewNormalSize(mx, my, vxx, vyy, vxy)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func ExampleNewNormalSize() {
	// A shaft axis is off by a fixed 3 µm and by clearances of sd 5 µm along the joint's long side and 2 µm across.
	offset, err := law.NewNormalSize(0.003, 0, 0.005*0.005, 0.002*0.002, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	m := offset.Moments()
	fmt.Printf("mean %.5f, sd %.5f\n", m.Mean, m.SD())
	fmt.Printf("1 in 1000 beyond %.5f mm\n", offset.UpperQuantile(1e-3))
	fmt.Printf("beyond 0.030 mm: %.2e\n", offset.Survival(0.030))
	// Output:
	// mean 0.00523, sd 0.00326
	// 1 in 1000 beyond 0.01858 mm
	// beyond 0.030 mm: 3.61e-08
}

func TestNormalSize_rice(t *testing.T) {
	for _, row := range table(t, "rice.csv") {
		for _, l := range []law.Law{
			size(t, row[0]*2, 0, 4, 4, 0),
			size(t, row[0]*2*0.6, -row[0]*2*0.8, 4, 4, 0),
		} {
			name := fmt.Sprintf("ν/σ %v", row[0])
			m := l.Moments()
			check.Relative(t, name+" mean", m.Mean, 2*row[1], 1e-13)
			check.Relative(t, name+" variance", m.Variance, 4*row[2], 5e-13)
			for i, p := range []float64{0.5, 0.95, 0.99} {
				check.Relative(t, fmt.Sprint(name, " quantile ", p), l.Quantile(p), 2*row[3+i], 1e-11)
			}
			for i := range 3 {
				check.Relative(t, fmt.Sprint(name, " CDF ", i+1), l.CDF(2*float64(i+1)), row[6+i], 1e-11)
			}
		}
	}
}

func TestNormalSize_hoyt(t *testing.T) {
	for _, row := range table(t, "hoyt_cep.csv") {
		for _, turn := range []float64{0, 0.3, 1.1, 2.5} {
			s, c := math.Sincos(turn)
			v := row[0] * row[0]
			l := size(t, 0, 0, c*c+v*s*s, s*s+v*c*c, (1-v)*s*c)
			for i, p := range []float64{0.5, 0.9, 0.95, 0.99, 0.9973} {
				check.Relative(t, fmt.Sprint("ratio ", row[0], " turned ", turn, " share ", p), l.Quantile(p), row[1+i], 1e-10)
			}
		}
	}
}

// Source: Rayleigh law, closed forms: survival exp(−r²/2), quantile √(−2 ln q), mean √(π/2), variance 2 − π/2, skewness 2√π(π−3)/(4−π)^1.5, excess kurtosis −(6π²−24π+16)/(4−π)².
func TestNormalSize_rayleigh(t *testing.T) {
	l := size(t, 0, 0, 1, 1, 0)
	for _, q := range []float64{1e-300, 1e-100, 1e-15, 1e-9, 1e-3, 0.1, 0.4, 0.7, 0.99} {
		r := math.Sqrt(-2 * math.Log(q))
		check.Relative(t, fmt.Sprint("upper quantile ", q), l.UpperQuantile(q), r, 1e-14)
		check.Relative(t, fmt.Sprint("survival ", r), l.Survival(r), math.Exp(-r*r/2), 1e-12)
		check.Relative(t, fmt.Sprint("quantile ", q), l.Quantile(q), math.Sqrt(-2*math.Log1p(-q)), 1e-13)
		r = math.Sqrt(-2 * math.Log1p(-q))
		check.Relative(t, fmt.Sprint("CDF ", r), l.CDF(r), -math.Expm1(-r*r/2), 1e-13)
	}
	m := l.Moments()
	check.Relative(t, "mean", m.Mean, math.Sqrt(math.Pi/2), 1e-14)
	check.Relative(t, "variance", m.Variance, 2-math.Pi/2, 1e-13)
	check.Relative(t, "skewness", m.Skewness, 2*math.Sqrt(math.Pi)*(math.Pi-3)/math.Pow(4-math.Pi, 1.5), 1e-12)
	check.Relative(t, "excess kurtosis", m.ExcessKurtosis, -(6*math.Pi*math.Pi-24*math.Pi+16)/((4-math.Pi)*(4-math.Pi)), 1e-11)
}

// craig is Craig's form of the Hoyt law: P(|v| > r) = (1/2π) ∮ exp(−r²/(2(s² cos² t + u² sin² t))) dt, by the periodic trapezoid rule.
// Source: J. W. Craig, MILCOM 1991, for the polar form; hand calculation: polar coordinates about 0 in the standardised plane.
func craig(r, s, u float64) (above, below float64) {
	const n = 20000
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / n)
		x := -r * r / 2 / (s*s*cos*cos + u*u*sin*sin)
		above += math.Exp(x)
		below -= math.Expm1(x)
	}
	return above / n, below / n
}

func TestNormalSize_farTailsOfHoyt(t *testing.T) {
	for _, u := range []float64{1, 0.9, 0.5, 0.1, 0.01} {
		l := size(t, 0, 0, 9, 9*u*u, 0)
		for _, r := range []float64{1e-8, 1e-3, 0.1, 1, 3, 8, 20} {
			above, below := craig(r, 1, u)
			check.Relative(t, fmt.Sprint("ratio ", u, " survival ", r), l.Survival(3*r), above, 1e-12)
			check.Relative(t, fmt.Sprint("ratio ", u, " CDF ", r), l.CDF(3*r), below, 1e-12)
		}
	}
}

// rim is the law of the size in general, by Gauss's theorem: with z the standardised point of the circle, the winding of z about 0 weighed with exp(−|z|²/2) is P(|v| > r) when the mean lies inside, −P(|v| ≤ r) when outside. The periodic trapezoid rule converges geometrically.
// Derivation: exp(−|z|²/2) z/|z|² is, but for its sign and 2π, the field whose divergence is the normal density.
func rim(r, a, b, s, u float64) float64 {
	const n = 40000
	var sum float64
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / n)
		x, y := (r*cos-a)/s, (r*sin-b)/u
		q := x*x + y*y
		sum += math.Exp(-q/2) * (r - a*cos - b*sin) / q
	}
	return sum * r / (s * u) / n
}

func TestNormalSize_againstTheRim(t *testing.T) {
	for _, c := range []struct{ a, b, s, u float64 }{
		{0.3, 0.2, 1, 1},
		{3, 1, 1, 0.4},
		{0, 2, 1, 0.1},
		{2, 0, 1, 0.05},
		{5, 5, 1, 0.7},
		{-20, 4, 1, 0.2},
		{0.1, 30, 1, 0.9},
		{3, 1, 0.3, 2},
	} {
		l := size(t, c.a, c.b, c.s*c.s, c.u*c.u, 0)
		centre := math.Hypot(c.a, c.b)
		for _, d := range []float64{-8, -5, -2, -0.5, 0.5, 1.5, 4, 9} {
			r := centre + d
			if r <= 0 {
				continue
			}
			name := fmt.Sprint(c, " size ", r)
			want := rim(r, c.a, c.b, c.s, c.u)
			if d > 0 {
				check.Relative(t, name+" survival", l.Survival(r), want, 1e-11)
				check.Relative(t, name+" CDF", l.CDF(r), 1-want, 1e-11)
			} else {
				check.Relative(t, name+" CDF", l.CDF(r), -want, 1e-11)
				check.Relative(t, name+" survival", l.Survival(r), 1+want, 1e-11)
			}
		}
	}
}

func TestNormalSize_onALine(t *testing.T) {
	// Source: folded normal law, closed forms: CDF Φ(r−m) − Φ(−r−m), mean √(2/π) e^(−m²/2) + m erf(m/√2), second moment 1 + m².
	const m = 0.8
	s, c := math.Sincos(0.7)
	l := size(t, m*c, m*s, c*c, s*s, s*c)
	for _, r := range []float64{1e-9, 0.2, 1, 3, 8, 12} {
		below := (math.Erf((r-m)/math.Sqrt2) + math.Erf((r+m)/math.Sqrt2)) / 2
		above := (math.Erfc((r-m)/math.Sqrt2) + math.Erfc((r+m)/math.Sqrt2)) / 2
		check.Relative(t, fmt.Sprint("CDF ", r), l.CDF(r), below, 1e-7*step(r < 1e-6)+1e-13)
		check.Relative(t, fmt.Sprint("survival ", r), l.Survival(r), above, 1e-12)
	}
	mean := math.Sqrt(2/math.Pi)*math.Exp(-m*m/2) + m*math.Erf(m/math.Sqrt2)
	got := l.Moments()
	check.Relative(t, "mean", got.Mean, mean, 1e-13)
	check.Relative(t, "variance", got.Variance, 1+m*m-mean*mean, 1e-12)

	// past 0: |v|² = b² + z²
	l = size(t, 0, 2, 1, 0, 0)
	check.Relative(t, "past 0: quantile", l.Quantile(0.3), math.Hypot(2, math.Sqrt2*math.Erfinv(0.3)), 1e-14)
	check.Relative(t, "past 0: upper quantile", l.UpperQuantile(1e-15), math.Hypot(2, -law.StandardQuantile(0.5e-15)), 1e-14)
	check.Relative(t, "past 0: CDF", l.CDF(math.Sqrt(5)), math.Erf(1/math.Sqrt2), 1e-14)
	if low, high := l.Support(); low != 2 || !math.IsInf(high, 1) || l.CDF(1.999) != 0 || l.Survival(1.999) != 1 {
		t.Errorf("support %v to %v", low, high)
	}
}

func step(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

func TestNormalSize_aThinCovarianceTendsToTheLine(t *testing.T) {
	for _, c := range [][2]float64{{0, 0}, {0.8, 0}, {0, 2}, {3, 1}} {
		line := size(t, c[0], c[1], 1, 0, 0)
		thin := size(t, c[0], c[1], 1, 1e-18, 0)
		for _, p := range []float64{1e-4, 0.1, 0.5, 0.9, 1 - 1e-6} {
			check.Relative(t, fmt.Sprint("mean ", c, " quantile ", p), thin.Quantile(p), line.Quantile(p), 1e-8)
		}
		check.Relative(t, "far tail", thin.UpperQuantile(1e-15), line.UpperQuantile(1e-15), 1e-8)
		check.Relative(t, "mean", thin.Moments().Mean, line.Moments().Mean, 1e-12)
	}
}

func TestNormalSize_aConstant(t *testing.T) {
	l := size(t, 3, -4, 0, 0, 0)
	if low, high := l.Support(); low != 5 || high != 5 || l.Quantile(0.3) != 5 || l.UpperQuantile(1e-15) != 5 {
		t.Error("not the constant 5")
	}
	if l.CDF(4.9) != 0 || l.CDF(5) != 1 || l.Survival(5) != 0 || l.Survival(4.9) != 1 {
		t.Error("tails of a constant")
	}
	if m := l.Moments(); m != (law.Moments{Mean: 5}) {
		t.Error(m)
	}
	l = size(t, 3e200, 4e200, 1e-300, 1e-300, 0)
	if m := l.Moments(); math.Abs(m.Mean/5e200-1) > 1e-15 || m.Variance != 0 {
		t.Error("lost in rounding:", m)
	}
}

// The two ways to the moments meet where one takes over from the other.
func TestNormalSize_momentsMeet(t *testing.T) {
	for _, e := range []float64{1, 0.5, 0} {
		for _, turn := range []float64{0, 0.7, math.Pi / 2} {
			s, c := math.Sincos(turn)
			inside := size(t, 8*(1-1e-14)*c, 8*(1-1e-14)*s, 1, e*e, 0).Moments()
			outside := size(t, 8*(1+1e-14)*c, 8*(1+1e-14)*s, 1, e*e, 0).Moments()
			check.Relative(t, "mean", inside.Mean, outside.Mean, 1e-13)
			check.Relative(t, "variance", inside.Variance, outside.Variance, 1e-10)
			if d := inside.Skewness - outside.Skewness; math.Abs(d) > 1e-8 {
				t.Error("skewness", e, turn, inside.Skewness, outside.Skewness)
			}
			if d := inside.ExcessKurtosis - outside.ExcessKurtosis; math.Abs(d) > 1e-7*(1+outside.ExcessKurtosis) {
				t.Error("kurtosis", e, turn, inside.ExcessKurtosis, outside.ExcessKurtosis)
			}
		}
	}
}

// Whatever the shape: the tails add up to one, the quantile undoes them, the density is their slope, and turning the axes or scaling changes nothing.
func TestNormalSize_anyShape(t *testing.T) {
	s := law.NewStream(6, "shapes", 0)
	power := func(low, high float64) float64 { return math.Pow(10, low+(high-low)*s.Float64()) }
	for range 25 {
		a, b, e, scale := power(-3, 3), power(-3, 3), power(-11, 0), power(-3, 3)
		sin, cos := math.Sincos(2 * math.Pi * s.Float64())
		straight := size(t, a, b, 1, e*e, 0)
		// turned by a right angle, mirrored and scaled
		other := size(t, b*scale, -a*scale, e*e*scale*scale, scale*scale, 0)
		name := fmt.Sprintf("mean %.3g %.3g, ratio %.3g", a, b, e)
		for _, p := range []float64{1e-12, 1e-4, 0.3, 0.9} {
			r := straight.Quantile(p)
			check.Relative(t, name+": scaled quantile", other.Quantile(p), r*scale, 1e-12)
			grid := math.Abs(straight.CDF(math.Nextafter(r, math.Inf(1))) - straight.CDF(math.Nextafter(r, 0)))
			if got := straight.CDF(r); math.Abs(got-p) > 1e-10*p+4*grid {
				t.Errorf("%s: quantile %v is %v, of which the CDF is %v", name, p, r, got)
			}
			if sum := straight.CDF(r) + straight.Survival(r); math.Abs(sum-1) > 1e-10 {
				t.Errorf("%s: tails at %v add up to 1 + %.2g", name, r, sum-1)
			}
			r = straight.UpperQuantile(p)
			if got := straight.Survival(r); math.Abs(got-p) > 1e-10*p+4*grid {
				t.Errorf("%s: upper quantile %v is %v, of which the survival is %v", name, p, r, got)
			}
		}
		if e < 1e-3 { // turned axes lose the digits of a small variance
			continue
		}
		turned := size(t, a*cos-b*sin, a*sin+b*cos, cos*cos+e*e*sin*sin, sin*sin+e*e*cos*cos, (1-e*e)*sin*cos)
		for _, q := range []float64{1e-9, 0.1, 0.7} {
			check.Relative(t, name+": turned", turned.UpperQuantile(q), straight.UpperQuantile(q), 1e-9)
		}
	}
}

func TestNewNormalSize_badParameters(t *testing.T) {
	for _, c := range [][5]float64{
		{math.NaN(), 0, 1, 1, 0},
		{0, math.Inf(1), 1, 1, 0},
		{0, 0, -1, 1, 0},
		{0, 0, 1, math.NaN(), 0},
		{0, 0, 1, 1, 1.001},
		{0, 0, 1, 1, math.Inf(1)},
	} {
		_, err := law.NewNormalSize(c[0], c[1], c[2], c[3], c[4])
		if !errors.Is(err, fault.ErrOutOfRange) {
			t.Errorf("%v: error %v", c, err)
		}
	}
}

func BenchmarkNormalSize_UpperQuantile(b *testing.B) {
	for _, c := range [][3]float64{{0, 0, 1}, {1, 0.5, 0.3}, {20, 3, 0.01}} {
		l := size(b, c[0], c[1], 1, c[2]*c[2], 0)
		b.Run(fmt.Sprintf("mean=%v,%v/ratio=%v", c[0], c[1], c[2]), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				l.UpperQuantile(1e-6)
			}
		})
	}
}
