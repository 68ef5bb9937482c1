package law

import "math"

// Weibull is the Weibull law above an origin: P(X > x) = exp(−((x − origin)/scale)^shape).
type Weibull struct{ origin, scale, shape float64 }

// NewWeibull returns the Weibull law. It returns a [ParameterError] unless the origin is finite, scale ≥ 0 and shape > 0.
func NewWeibull(origin, scale, shape float64) (Weibull, error) {
	const name = "Weibull"
	if err := finite(name, []string{"origin"}, origin); err != nil {
		return Weibull{}, err
	}
	if err := atLeastZero(name, "scale", scale); err != nil {
		return Weibull{}, err
	}
	if err := positive(name, "shape", shape); err != nil {
		return Weibull{}, err
	}
	return Weibull{origin, scale, shape}, nil
}

// NewRayleigh returns the Rayleigh law: the size of a plane vector of two independent normal components with mean 0 and the given standard deviation each. It is the Weibull law of shape 2 and scale √2 sd. It returns a [ParameterError] unless sd ≥ 0.
func NewRayleigh(sd float64) (Weibull, error) {
	if err := atLeastZero("Rayleigh", "sd", sd); err != nil {
		return Weibull{}, err
	}
	return Weibull{0, math.Sqrt2 * sd, 2}, nil
}

// CDF returns P(X ≤ x).
func (l Weibull) CDF(x float64) float64 {
	if l.scale == 0 {
		return step(x >= l.origin)
	}
	return -math.Expm1(-l.hazard(x))
}

// Survival returns P(X > x).
func (l Weibull) Survival(x float64) float64 {
	if l.scale == 0 {
		return step(x < l.origin)
	}
	return math.Exp(-l.hazard(x))
}

// hazard returns −log P(X > x).
func (l Weibull) hazard(x float64) float64 {
	return l.power(max((x-l.origin)/l.scale, 0), l.shape)
}

// power is math.Pow, quicker and closer for the Rayleigh law.
func (l Weibull) power(x, exponent float64) float64 {
	switch exponent {
	case 2:
		return x * x
	case 0.5:
		return math.Sqrt(x)
	}
	return math.Pow(x, exponent)
}

// at is the value at a hazard.
func (l Weibull) at(hazard float64) float64 {
	if l.scale == 0 && !math.IsNaN(hazard) {
		return l.origin
	}
	return l.origin + l.scale*l.power(hazard, 1/l.shape)
}

// Quantile returns the x below which a share p lies.
func (l Weibull) Quantile(p float64) float64 {
	if !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	return l.at(-math.Log1p(-p))
}

// UpperQuantile returns the x above which a share q lies.
func (l Weibull) UpperQuantile(q float64) float64 {
	if !(q >= 0 && q <= 1) {
		return math.NaN()
	}
	return l.at(-math.Log(q))
}

// Moments returns the moments E ((X − origin)/scale)^n = Γ(1 + n/shape), centred.
//
// Centring the closed forms would lose digits for large shapes, where the law is narrow. The logarithm of the hazard follows the law with density exp(y − exp(y)), over which the trapezoid rule converges geometrically, so deviations from the scale are summed instead.
func (l Weibull) Moments() Moments {
	if l.scale == 0 {
		return Moments{Mean: l.origin}
	}
	inverse := 1 / l.shape
	const heavy = 8 // where powers outgrow the range of the sum, and the closed forms lose nothing
	if inverse > heavy {
		return l.heavyMoments()
	}
	const pitch, from, to = 1.0 / 32, -42, 7
	var m [5]float64
	for pass := range 2 {
		for i := from / pitch; i <= to/pitch; i++ {
			y := i * pitch
			w := pitch * math.Exp(y-math.Exp(y))
			d := math.Expm1(y*inverse) - m[1]
			if pass == 0 {
				m[0] += w * d
				continue
			}
			m[2] += w * d * d
			m[3] += w * d * d * d
			m[4] += w * d * d * d * d
		}
		if pass == 0 {
			m[1] = m[0]
		}
	}
	return Moments{
		Mean:           l.origin + l.scale*(1+m[1]),
		Variance:       l.scale * l.scale * m[2],
		Skewness:       m[3] / math.Pow(m[2], 1.5),
		ExcessKurtosis: m[4]/(m[2]*m[2]) - 3,
	}
}

// heavyMoments returns the closed forms, infinite where they overflow.
func (l Weibull) heavyMoments() Moments {
	gamma := func(n float64) float64 { return math.Gamma(1 + n/l.shape) }
	m1, m2, m3, m4 := gamma(1), gamma(2), gamma(3), gamma(4)
	variance := m2 - m1*m1
	m := Moments{Mean: l.origin + l.scale*m1, Variance: l.scale * l.scale * variance, Skewness: math.Inf(1), ExcessKurtosis: math.Inf(1)}
	if math.IsInf(m2, 1) || math.IsInf(m1*m1, 1) {
		m.Variance = math.Inf(1)
		return m
	}
	if third := m3 - 3*m1*m2 + 2*m1*m1*m1; !math.IsInf(m3, 1) {
		m.Skewness = third / math.Pow(variance, 1.5)
	}
	if fourth := m4 - 4*m1*m3 + 6*m1*m1*m2 - 3*m1*m1*m1*m1; !math.IsInf(m4, 1) {
		m.ExcessKurtosis = fourth/(variance*variance) - 3
	}
	return m
}

// Support is from the origin up.
func (l Weibull) Support() (lowest, highest float64) { return l.origin, l.at(math.Inf(1)) }

// Draw fills dst with the next values of a stream.
func (l Weibull) Draw(dst []float64, s *Stream) {
	inverse := 1 / l.shape
	for i := range dst {
		dst[i] = l.origin + float64(l.scale*l.power(-math.Log(s.Float64()), inverse))
	}
}
