package law

import (
	"math"
	"sort"
)

// normalSize is the size |v| = √(x² + y²) of a plane vector whose components are jointly normal.
//
// With the axes turned so that x and y are independent and x has the larger variance,
//
//	P(|v| ≤ r) = ∫ φ(x) P(|y| ≤ √(r² − x²)) dx  over −r ≤ x ≤ r,
//
// whose integrand is positive, so that both tails keep their digits; the quadrature is good to about 1e-12 of the result.
type normalSize struct {
	scale float64 // the larger sd; in its unit:
	a, b  float64 // the mean along the axes of the larger and of the smaller variance, both ≥ 0 by symmetry
	e     float64 // the smaller sd, ≤ 1
}

const (
	// singularVariance is the smaller principal variance, relative to the larger, that rounding of a singular covariance matrix can leave behind.
	singularVariance = 4 * 0x1p-52
	// flattest is the smaller sd, relative to the larger, below which it counts as 0.
	flattest = 1e-12
	// lost is the smaller sd, relative to the size of the mean, below which it counts as 0: it would change sizes by less.
	lost = 1e-10
	// smallest is the larger sd, relative to the size of the mean, below which both count as 0: sizes as floats are no closer.
	smallest = 1e-16
)

// NewNormalSize returns the distribution of the size of a plane normal vector with mean (mx, my), variances vxx and
// vyy and covariance vxy: the radial offset that two correlated, unequal, off-centre deviations add up to. It is
// Rayleigh's for equal variances about 0, Rice's for equal variances about another point, Hoyt's for unequal ones
// about 0, the folded normal on a line through 0, and a constant when both variances are 0.
//
// The covariance matrix may be singular. The smaller principal standard deviation counts as 0 when it is below 1e-10
// of the mean's size or 1e-12 of the larger one (3e-8 when vxy is not 0, for rounding); the larger when it is below
// 1e-16 of the mean's size. It returns a [fault.FieldError] unless the means are finite, the variances ≥ 0 and
// vxy² ≤ vxx·vyy, but for rounding.
func NewNormalSize(mx, my, vxx, vyy, vxy float64) (Law, error) {
	if err := checkPlane("size of a plane normal", mx, my, vxx, vyy, vxy); err != nil {
		return nil, err
	}
	p := principal(vxx, vyy, vxy)
	a, b := math.Abs(mx*p.cos+my*p.sin), math.Abs(my*p.cos-mx*p.sin)
	if centre := math.Hypot(a, b); p.major <= smallest*centre || p.major == 0 {
		return distribution{normalSize{a: centre}, centre, centre, Moments{Mean: centre}}, nil
	}
	l := normalSize{scale: p.major, a: a / p.major, b: b / p.major, e: p.minor / p.major}
	lowest := 0.0
	if l.e < max(flattest, lost*math.Hypot(a, b)/p.major) { // along a line only
		l.e = 0
		lowest = l.b * l.scale
	}
	return distribution{l, lowest, math.Inf(1), l.moments()}, nil
}

// checkPlane checks mean and covariance of a plane normal law.
func checkPlane(name string, mx, my, vxx, vyy, vxy float64) error {
	const rounding = 1e-12 // of a covariance that was computed, relative
	most := math.Sqrt(vxx) * math.Sqrt(vyy) * (1 + rounding)
	return check(name, finite("mean x", mx), finite("mean y", my), finite("covariance", vxy), atLeastZero("variance of x", vxx), atLeastZero("variance of y", vyy),
		must(math.Abs(vxy) <= most, "covariance", vxy, "its size at most √(variance of x · variance of y)"))
}

// axes are the principal standard deviations of a covariance matrix, and the direction of the major one.
type axes struct{ major, minor, cos, sin float64 }

// principal returns the principal axes of a positive semidefinite matrix.
func principal(vxx, vyy, vxy float64) axes {
	if vxy == 0 {
		if vxx >= vyy {
			return axes{math.Sqrt(vxx), math.Sqrt(vyy), 1, 0}
		}
		return axes{math.Sqrt(vyy), math.Sqrt(vxx), 0, 1}
	}
	half := (vxx - vyy) / 2
	large := (vxx+vyy)/2 + math.Hypot(half, vxy)
	// determinant over large, for digits that a difference of roots would lose
	product := vxy * vxy
	determinant := math.FMA(vxx, vyy, -product) - math.FMA(vxy, vxy, -product)
	small := determinant / large
	if small <= singularVariance*large {
		small = 0
	}
	sin, cos := math.Sincos(math.Atan2(vxy, half) / 2)
	return axes{math.Sqrt(large), math.Sqrt(small), cos, sin}
}

func (l normalSize) tail(r float64, above bool) float64 {
	r /= l.scale
	share := within
	if above {
		share = beyond
	}
	switch {
	case r <= 0:
		return step(above)
	case r >= l.far():
		return step(!above)
	case l.e == 0:
		return share(math.Sqrt(max((r-l.b)*(r+l.b), 0)), l.a)
	}
	integrand := func(angle float64) float64 {
		sin, cos := math.Sincos(angle)
		x, y := r*sin, r*cos
		return density(x-l.a) * y * share(y/l.e, l.b/l.e)
	}
	var cuts [maxCuts]float64
	sum := adaptive(integrand, l.cuts(cuts[:0], r), coarseGap)
	if above {
		sum += beyond(r, l.a)
	}
	return sum
}

// far is a size, in units of the larger sd, that the vector passes with a probability too small for a float64.
func (l normalSize) far() float64 { return math.Hypot(l.a, l.b) + 40 }

// quantile finds the size whose smaller tail is a share.
func (l normalSize) quantile(p float64, above bool) float64 {
	if p > 0.5 {
		p, above = 1-p, !above
	}
	if l.e == 0 && l.b > 0 { // on a line past 0: the size along the line first, whose density has no pole
		along := normalSize{scale: l.scale, a: l.a}
		return math.Hypot(along.quantile(p, above), l.b*l.scale)
	}
	sign := 1.0
	if above {
		sign = -1
	}
	mean, _ := l.square()
	return solve(func(r float64) float64 { return l.tail(r, above) }, p, sign, l.scale*math.Sqrt(mean), l.far()*l.scale)
}

// square returns mean and variance of |v|², in units of the larger variance.
func (l normalSize) square() (mean, variance float64) {
	a2, b2, e2 := l.a*l.a, l.b*l.b, l.e*l.e
	return a2 + b2 + 1 + e2, 2*(1+e2*e2) + 4*(a2+b2*e2)
}

// Draw fills dst with the next values of a stream: for every few values first the components along the major axis, then along the minor one.
func (l normalSize) Draw(dst []float64, s *Stream) {
	if l.scale == 0 {
		for i := range dst {
			dst[i] = l.a
		}
		return
	}
	var minor [128]float64
	for len(dst) > 0 {
		n := min(len(dst), len(minor))
		s.Normals(dst[:n])
		s.Normals(minor[:n])
		for i := range n {
			x, y := dst[i]+l.a, float64(l.e*minor[i])+l.b
			dst[i] = l.scale * math.Sqrt(float64(x*x)+float64(y*y))
		}
		dst = dst[n:]
	}
}

// within returns P(|Z + m| ≤ h) of a standard normal Z, for m, h ≥ 0, with all its digits.
func within(h, m float64) float64 {
	if m == 0 {
		return math.Erf(h / math.Sqrt2)
	}
	if h*(1+m) < 1 { // the two tails are nearly equal: integrate between them
		var sum float64
		for i, node := range kronrodNodes {
			sum += kronrodWeights[i] * (density(m-h*node) + density(m+h*node)) * (1 - 0.5*step(i == 7))
		}
		return sum * h
	}
	return (math.Erfc((m-h)/math.Sqrt2) - math.Erfc((m+h)/math.Sqrt2)) / 2
}

// beyond returns P(|Z + m| > h) of a standard normal Z.
func beyond(h, m float64) float64 {
	return (math.Erfc((h-m)/math.Sqrt2) + math.Erfc((h+m)/math.Sqrt2)) / 2
}

// maxCuts bounds the cuts of one quadrature: two features on either side, with widths down to 1e-16.
const maxCuts = 256

// wide is the width in radians from which on a feature is left to the halving of panels.
const wide = 0.3

// cuts appends the ascending angles, from −π/2 to π/2, between which the integrands over the circle of radius r are smooth or nearly so. A point is (r sin, r cos): (along the major axis, along the minor one). The peak of a far tail lies between the two features, where panels are a few times as wide as their distance to one.
func (l normalSize) cuts(out []float64, r float64) []float64 {
	out = append(out, -math.Pi/2, 0, math.Pi/2)
	feature := func(at, width float64) {
		if !(width > 1e-16) {
			width = 1e-16
		}
		if width > wide {
			return
		}
		for _, side := range [2]float64{at, -at} {
			out = append(out, side)
			for d := width; d < wide; d *= 4 {
				out = append(out, side-d, side+d)
			}
		}
	}
	// the bell over the major axis
	asin := func(x float64) float64 { return math.Asin(max(min(x/r, 1), -1)) }
	feature(asin(l.a), (asin(l.a+1)-asin(l.a-1))/2)
	// the step over the minor axis
	acos := func(y float64) float64 { return math.Acos(max(min(y/r, 1), -1)) }
	feature(acos(l.b), (acos(l.b-l.e)-acos(l.b+l.e))/2)
	sort.Float64s(out)
	kept := out[:0]
	for _, c := range out {
		if c < -math.Pi/2 || c > math.Pi/2 || len(kept) > 0 && c-kept[len(kept)-1] < 1e-16 {
			continue
		}
		kept = append(kept, c)
	}
	return kept
}

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
