package law

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// beta is bounded, with a hump, a slope or a bowl as its two shapes say.
type beta struct {
	lowest, highest float64
	a, b            float64
	logNorm         float64 // log B(a, b)
}

// NewBeta returns the beta distribution from lowest to highest with density proportional to
// (x − lowest)^(a−1) (highest − x)^(b−1). It returns a [fault.FieldError] unless the ends are finite and in order and
// 0 < a, b ≤ 1e6.
func NewBeta(lowest, highest, a, b float64) (Law, error) {
	const name = "beta"
	if err := check(name, interval(lowest, highest)); err != nil {
		return nil, err
	}
	// The incomplete beta function loses a digit for every tenfold of a shape, and beyond this all: such a
	// distribution is normal but for its name.
	const most = 1e6
	for i, v := range [2]float64{a, b} {
		if !(v > 0 && v <= most) {
			return nil, bad(name, [2]string{"first shape", "second shape"}[i], v, "> 0 and at most 1e6")
		}
	}
	width, n := highest-lowest, a+b
	return newBounded(lowest, highest, beta{lowest, highest, a, b, mathext.Lbeta(a, b)}, Moments{
		Mean:           lowest + width*(a/n),
		Variance:       width * width * (a / n) * (b / n) / (n + 1),
		Skewness:       2 * (b - a) / (n + 2) * math.Sqrt((n+1)/a/b),
		ExcessKurtosis: 6 * ((a-b)*(a-b)/a/b*(n+1) - (n + 2)) / (n + 2) / (n + 3),
	}), nil
}

// shapes are those of an end, and of the other.
func (l beta) shapes(upper bool) (own, other float64) {
	if upper {
		return l.b, l.a
	}
	return l.a, l.b
}

func (l beta) within(d, rest float64, upper bool) float64 {
	a, b := l.shapes(upper)
	return incompleteBeta(a, b, d, rest, l.highest-l.lowest)
}

// incompleteBeta is the regularised incomplete beta function of d/width, rest being width − d.
func incompleteBeta(a, b, d, rest, width float64) float64 {
	switch {
	case d <= 0:
		return 0
	case rest <= 0:
		return 1
	}
	if rest < d { // rest/width has more digits, unless the share is small
		const most = 0.9
		if other := mathext.RegIncBeta(b, a, rest/width); other < most {
			return 1 - other
		}
	}
	return mathext.RegIncBeta(a, b, d/width)
}

func (l beta) inset(p float64, upper bool) float64 {
	a, b := l.shapes(upper)
	density := func(r float64) float64 {
		return math.Exp((a-1)*math.Log(r) + (b-1)*math.Log1p(-r) - l.logNorm)
	}
	tail := func(r float64) float64 { return incompleteBeta(a, b, r, 1-r, 1) }
	// the power law near the end; never past the mean
	start := min(math.Exp((math.Log(p*a)+l.logNorm)/a), a/(a+b))
	return (l.highest - l.lowest) * solve(tail, density, p, 1, start, 1, logScale)
}

// Draw fills dst with the next values of a stream, each the share of one of two gamma numbers in their sum.
func (l beta) Draw(dst []float64, s *Stream) {
	width := l.highest - l.lowest
	for i := range dst {
		d := s.logGamma(l.a) - s.logGamma(l.b)
		if d < 0 {
			e := math.Exp(d)
			dst[i] = l.lowest + float64(width*(e/(1+e)))
		} else {
			e := math.Exp(-d)
			dst[i] = l.highest - float64(width*(e/(1+e)))
		}
	}
}

// logGamma returns the logarithm of the next gamma number of scale 1; a logarithm, since small shapes give numbers below any float64.
//
// Source: Marsaglia and Tsang, A simple method for generating gamma variables, ACM TOMS 26 (2000); section 6 for shapes below 1.
func (s *Stream) logGamma(shape float64) float64 {
	var boost float64
	if shape < 1 {
		boost = math.Log(s.Float64()) / shape
		shape++
	}
	d := shape - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := s.Normal()
		v := 1 + float64(c*x)
		if v <= 0 {
			continue
		}
		v = v * v * v
		if math.Log(s.Float64()) < 0.5*x*x+d*(1-v+math.Log(v)) {
			return math.Log(d*v) + boost
		}
	}
}
