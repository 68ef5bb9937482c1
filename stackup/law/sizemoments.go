package law

import "math"

// moments are those of the size: the second and fourth about 0 in closed form, the first and third from the Laplace transform of the squared size.
func (l normalSize) moments() Moments {
	const farOut = 8 // where powers about 0 lose digits, and where the size is smooth enough for Gauss–Hermite
	if math.Hypot(l.a, l.b) > farOut {
		return l.farMoments()
	}
	m2, v2 := l.square()
	m1, m3 := l.oddMoments(m2)
	m4 := v2 + m2*m2
	variance := m2 - m1*m1
	third := m3 - 3*m1*m2 + 2*m1*m1*m1
	fourth := m4 - 4*m1*m3 + 6*m1*m1*m2 - 3*m1*m1*m1*m1
	return Moments{
		Mean:           m1,
		Variance:       variance,
		Skewness:       third / math.Pow(variance, 1.5),
		ExcessKurtosis: fourth/(variance*variance) - 3,
	}.scaled(0, l.scale)
}

// oddMoments returns E|v| and E|v|³ from the transform M(t) = E exp(−t|v|²):
//
//	E|v|  = 1/(2√π) ∫₀^∞ (1 − M(t)) t^(−3/2) dt
//	E|v|³ = 3/(4√π) ∫₀^∞ (M(t) − 1 + t E|v|²) t^(−5/2) dt
//
// With t = exp(w) the integrands are smooth and fall off like exp(−|w|/2), for which the trapezoid rule converges geometrically: M is at most 1 for |Im w| ≤ π/2, so its error is about exp(−π²/pitch).
func (l normalSize) oddMoments(m2 float64) (first, third float64) {
	const pitch, reach = 0.25, 76
	for i := -reach / pitch; i <= reach/pitch; i++ {
		t := math.Exp(i * pitch)
		drop, rest := l.transform(t)
		first += drop / math.Sqrt(t)
		third += rest / (t * math.Sqrt(t))
	}
	return first * pitch / (2 * math.Sqrt(math.Pi)), third * pitch * 3 / (4 * math.Sqrt(math.Pi))
}

// transform returns 1 − M(t) and M(t) − 1 + t E|v|², small numbers with all their digits.
func (l normalSize) transform(t float64) (drop, rest float64) {
	var log, bend float64 // log M, and log M + t E|v|²
	for _, axis := range [2][2]float64{{l.a, 1}, {l.b, l.e}} {
		x := 2 * t * axis[1] * axis[1]
		square := axis[0] * axis[0] * t / (1 + x)
		log -= math.Log1p(x)/2 + square
		bend += square*x - logBend(x)/2
	}
	return -math.Expm1(log), expBend(log) + bend
}

// logBend returns log(1+x) − x.
func logBend(x float64) float64 {
	if x > 0.01 {
		return math.Log1p(x) - x
	}
	var sum float64
	for k := 9; k >= 2; k-- {
		sum = x * (1/float64(k) - sum)
	}
	return -x * sum
}

// expBend returns exp(x) − 1 − x.
func expBend(x float64) float64 {
	if math.Abs(x) > 0.01 {
		return math.Expm1(x) - x
	}
	sum := 1.0
	for k := 9; k >= 3; k-- {
		sum = 1 + x*sum/float64(k)
	}
	return x * x / 2 * sum
}

// farMoments integrates over both components: far from 0 the size is a smooth function of them. Deviations from the
// size of the mean, not sizes, are summed.
//
// The trapezoid rule is as good as Gauss–Hermite here: under a normal density its error is about 2 exp(−2π²/pitch²),
// below rounding, and it carries no tables, which weigh more than all other distributions together.
// Source: Trefethen and Weideman, The exponentially convergent trapezoidal rule, SIAM Review 56 (2014), 5 (from memory).
func (l normalSize) farMoments() Moments {
	const pitch, reach = 0.5, 18 // so many pitches to either side, 9 standard deviations
	centre := math.Hypot(l.a, l.b)
	var d, shares []float64
	for i := -reach; i <= reach; i++ {
		for j := -reach; j <= reach; j++ {
			z, w := pitch*float64(i), pitch*float64(j)
			dx, dy := z, w*l.e
			change := dx*(2*l.a+dx) + dy*(2*l.b+dy) // of the squared size
			d, shares = append(d, change/(math.Hypot(l.a+dx, l.b+dy)+centre)), append(shares, pitch*density(z)*pitch*density(w))
		}
	}
	return momentsOfPoints(d, shares, 0, 1).scaled(centre*l.scale, l.scale)
}
