package law

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Beta is the beta law over an interval: bounded, with a hump, a slope or a bowl as its two shapes say.
type Beta struct {
	lowest, highest float64
	a, b            float64
	logNorm         float64 // log B(a, b)
}

// NewBeta returns the beta law from lowest to highest with density proportional to (x − lowest)^(a−1) (highest − x)^(b−1). It returns a [ParameterError] unless the ends are finite and in order and 0 < a, b ≤ 1e6.
func NewBeta(lowest, highest, a, b float64) (Beta, error) {
	const name = "beta"
	if err := interval(name, lowest, highest); err != nil {
		return Beta{}, err
	}
	if err := shape(name, "first shape", a); err != nil {
		return Beta{}, err
	}
	if err := shape(name, "second shape", b); err != nil {
		return Beta{}, err
	}
	return Beta{lowest, highest, a, b, mathext.Lbeta(a, b)}, nil
}

// shape checks a shape. The incomplete beta function loses a digit for every tenfold of it, and beyond 1e6 all: such a law is normal but for its name.
func shape(law, name string, v float64) error {
	const most = 1e6
	if !(v > 0 && v <= most) {
		return &ParameterError{law, name, v, "> 0 and at most 1e6"}
	}
	return nil
}

// CDF returns P(X ≤ x).
func (l Beta) CDF(x float64) float64 {
	if x >= l.highest {
		return 1
	}
	return share(l.a, l.b, x-l.lowest, l.highest-x, l.highest-l.lowest)
}

// Survival returns P(X > x).
func (l Beta) Survival(x float64) float64 {
	if x >= l.highest {
		return 0
	}
	return share(l.b, l.a, l.highest-x, x-l.lowest, l.highest-l.lowest)
}

// share returns the share within d of the end whose shape is a, rest being the distance to the other: the regularised incomplete beta function.
func share(a, b, d, rest, width float64) float64 {
	switch {
	case math.IsNaN(d):
		return d
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

// Quantile returns the x below which a share p lies.
func (l Beta) Quantile(p float64) float64 {
	if p > 0.5 && p <= 1 {
		return l.highest - l.inset(l.b, l.a, 1-p)
	}
	return l.lowest + l.inset(l.a, l.b, p)
}

// UpperQuantile returns the x above which a share q lies.
func (l Beta) UpperQuantile(q float64) float64 {
	if q > 0.5 && q <= 1 {
		return l.lowest + l.inset(l.a, l.b, 1-q)
	}
	return l.highest - l.inset(l.b, l.a, q)
}

// inset returns the distance from an end, whose shape is a, within which a share of at most half lies.
func (l Beta) inset(a, b, p float64) float64 {
	switch {
	case !(p >= 0 && p <= 1):
		return math.NaN()
	case p == 0 || l.lowest == l.highest:
		return 0
	}
	density := func(r float64) float64 {
		return math.Exp((a-1)*math.Log(r) + (b-1)*math.Log1p(-r) - l.logNorm)
	}
	tail := func(r float64) float64 { return share(a, b, r, 1-r, 1) }
	// the power law near the end; never past the mean
	start := min(math.Exp((math.Log(p*a)+l.logNorm)/a), a/(a+b))
	return (l.highest - l.lowest) * solve(tail, density, p, 1, start, 1, logScale)
}

// Moments returns the closed forms.
func (l Beta) Moments() Moments {
	width := l.highest - l.lowest
	if width == 0 {
		return Moments{Mean: l.lowest}
	}
	a, b, n := l.a, l.b, l.a+l.b
	return Moments{
		Mean:           l.lowest + width*(a/n),
		Variance:       width * width * (a / n) * (b / n) / (n + 1),
		Skewness:       2 * (b - a) / (n + 2) * math.Sqrt((n+1)/a/b),
		ExcessKurtosis: 6 * ((a-b)*(a-b)/a/b*(n+1) - (n + 2)) / (n + 2) / (n + 3),
	}
}

// Support returns the interval.
func (l Beta) Support() (lowest, highest float64) { return l.lowest, l.highest }

// Draw fills dst with the next values of a stream, each the share of one of two gamma numbers in their sum.
func (l Beta) Draw(dst []float64, s *Stream) {
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
