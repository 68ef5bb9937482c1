package law

import "math"

// weibull has P(X > x) = exp(−((x − origin)/scale)^shape).
type weibull struct{ origin, scale, shape float64 }

// NewWeibull returns the Weibull distribution above an origin: P(X > x) = exp(−((x − origin)/scale)^shape). Of shape
// 2 it is Rayleigh's, that of the size of a plane vector of two independent normal components with mean 0 and
// standard deviation scale/√2. It returns a [fault.FieldError] unless the origin is finite, scale ≥ 0 and shape > 0.
func NewWeibull(origin, scale, shape float64) (Law, error) {
	const name = "Weibull"
	if err := check(name, finite("origin", origin), atLeastZero("scale", scale), positive("shape", shape)); err != nil {
		return nil, err
	}
	l := distribution{form: weibull{origin, scale, shape}, lowest: origin, highest: math.Inf(1), moments: Moments{Mean: origin}}
	const heavy = 0.125 // where powers outgrow the range of the sum, and the closed forms lose nothing
	switch {
	case scale == 0:
		l.highest = origin
	case shape < heavy:
		l.moments = weibull{origin, scale, shape}.heavyMoments()
	default:
		l.moments = momentsOf(l)
	}
	return l, nil
}

func (l weibull) tail(x float64, above bool) float64 {
	hazard := l.power((x-l.origin)/l.scale, l.shape) // −log P(X > x)
	if above {
		return math.Exp(-hazard)
	}
	return -math.Expm1(-hazard)
}

func (l weibull) quantile(p float64, above bool) float64 {
	if above {
		return l.at(-math.Log(p))
	}
	return l.at(-math.Log1p(-p))
}

// power is math.Pow, quicker and closer for the Rayleigh law.
func (l weibull) power(x, exponent float64) float64 {
	switch exponent {
	case 2:
		return x * x
	case 0.5:
		return math.Sqrt(x)
	}
	return math.Pow(x, exponent)
}

// at is the value at a hazard.
func (l weibull) at(hazard float64) float64 {
	return l.origin + l.scale*l.power(hazard, 1/l.shape)
}

// heavyMoments returns the closed forms by E ((X − origin)/scale)^n = Γ(1 + n/shape), infinite where they overflow.
func (l weibull) heavyMoments() Moments {
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

// Draw fills dst with the next values of a stream.
func (l weibull) Draw(dst []float64, s *Stream) {
	inverse := 1 / l.shape
	for i := range dst {
		dst[i] = l.origin + float64(l.scale*l.power(-math.Log(s.Float64()), inverse))
	}
}
