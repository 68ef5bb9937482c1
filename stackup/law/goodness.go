package law

import (
	"math"
	"sort"
)

// AndersonDarling compares a law that was known beforehand with measured values. It returns a [ParameterError] unless there are at least 8 values, all finite. A value outside the support gives A² = +Inf and P = 0.
//
// Use the fit functions for a law that was fitted to the same values: P is then larger for the same A².
//
// Source: Marsaglia and Marsaglia, Evaluating the Anderson–Darling distribution, J. Stat. Software 9(2) (2004), good to about 1e-6.
func AndersonDarling(l Law, values []float64) (Fit, error) {
	const name = "Anderson–Darling"
	if len(values) < fewest {
		return Fit{}, &ParameterError{name, "number of values", float64(len(values)), "at least 8"}
	}
	for _, v := range values {
		if err := finite(name, []string{"value"}, v); err != nil {
			return Fit{}, err
		}
	}
	a := squareOf(l, values)
	return Fit{len(values), a, max(1-belowA(a, float64(len(values))), 0)}, nil
}

// squareOf returns A² = −n − Σ (2i−1)/n (log F(xᵢ) + log S(xₙ₊₁₋ᵢ)) of ascending xᵢ.
func squareOf(l Law, values []float64) float64 {
	x := append([]float64(nil), values...)
	sort.Float64s(x)
	n := len(x)
	var sum float64
	for i := range x {
		sum += float64(2*i+1) * (math.Log(l.CDF(x[i])) + math.Log(l.Survival(x[n-1-i])))
	}
	return -float64(n) - sum/float64(n)
}

// belowA returns the probability that A² of n values of a known law stays below z.
func belowA(z, n float64) float64 {
	if !(z > 0) {
		return 0
	}
	if math.IsInf(z, 1) {
		return 1
	}
	var x float64 // for n → ∞
	if z < 2 {
		x = math.Exp(-1.2337141/z) / math.Sqrt(z) * (2.00012 + (0.247105-(0.0649821-(0.0347962-(0.011672-0.00168691*z)*z)*z)*z)*z)
	} else {
		x = math.Exp(-math.Exp(1.0776 - (2.30695-(0.43424-(0.082433-(0.008056-0.0003146*z)*z)*z)*z)*z))
	}
	c := 0.01265 + 0.1757/n
	switch {
	case x > 0.8:
		return x + (-130.2137+(745.2337-(1705.091-(1950.646-(1116.360-255.7844*x)*x)*x)*x)*x)/n
	case x < c:
		t := x / c
		return x + math.Sqrt(t)*(1-t)*(49*t-102)*(0.0037/(n*n)+0.00078/n+0.00006)/n
	}
	t := (x - c) / (0.8 - c)
	t = -0.00022633 + (6.54034-(14.6538-(14.458-(8.259-1.91864*t)*t)*t)*t)*t
	return x + t*(0.04213+0.01365/n)/n
}

// normalP returns P of A² for a normal law with fitted mean and standard deviation.
//
// Source: D'Agostino and Stephens, Goodness-of-fit techniques (1986), table 4.9.
func normalP(a float64, n int) float64 {
	m := float64(n)
	a *= 1 + 0.75/m + 2.25/(m*m)
	switch {
	case a >= farA:
		return 0
	case a >= 0.6:
		return math.Exp(1.2937 - 5.709*a + 0.0186*a*a)
	case a >= 0.34:
		return math.Exp(0.9177 - 4.279*a - 1.38*a*a)
	case a >= 0.2:
		return 1 - math.Exp(-8.318+42.796*a-59.938*a*a)
	}
	return 1 - math.Exp(-13.436+101.14*a-223.73*a*a)
}

// exponentialP returns P of A² for an exponential law, or a known power of one, with fitted scale.
//
// Source: D'Agostino and Stephens, Goodness-of-fit techniques (1986), table 4.14.
func exponentialP(a float64, n int) float64 {
	a *= 1 + 0.6/float64(n)
	switch {
	case a >= farA:
		return 0
	case a >= 0.95:
		return math.Exp(0.731 - 3.009*a + 0.15*a*a)
	case a >= 0.51:
		return math.Exp(0.9209 - 3.353*a + 0.3*a*a)
	case a >= 0.26:
		return 1 - math.Exp(-6.1327+20.218*a-18.663*a*a)
	}
	return 1 - math.Exp(-12.2204+67.459*a-110.3*a*a)
}

// farA is beyond the range of the fitted polynomials, where P is below 1e-8 at any rate.
const farA = 10

// weibullP returns P of A² for a Weibull law with fitted scale and shape.
//
// Source: MIL-HDBK-17-1F, Composite materials handbook (2002), 8.3.4.2.2.
func weibullP(a float64, n int) float64 {
	a *= 1 + 0.2/math.Sqrt(float64(n))
	if a == 0 {
		return 1
	}
	return 1 / (1 + math.Exp(-0.1+1.24*math.Log(a)+4.48*a))
}
