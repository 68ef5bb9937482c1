package law

import "math"

// LogNormal is the law of a value whose logarithm above an origin is normal: a size that cannot fall below the origin and has a long upper tail.
type LogNormal struct{ origin, logMean, logSD float64 }

// NewLogNormal returns the law of origin + exp(N), N normal with mean logMean and standard deviation logSD. It returns a [ParameterError] unless the origin and the median origin + exp(logMean) are finite and logSD ≥ 0.
func NewLogNormal(origin, logMean, logSD float64) (LogNormal, error) {
	const name = "lognormal"
	if err := finite(name, []string{"origin", "mean of the logarithm"}, origin, logMean); err != nil {
		return LogNormal{}, err
	}
	if math.IsInf(origin+math.Exp(logMean), 0) {
		return LogNormal{}, &ParameterError{name, "mean of the logarithm", logMean, "at most 709"}
	}
	if err := atLeastZero(name, "sd of the logarithm", logSD); err != nil {
		return LogNormal{}, err
	}
	return LogNormal{origin, logMean, logSD}, nil
}

// CDF returns P(X ≤ x).
func (l LogNormal) CDF(x float64) float64 {
	if l.logSD == 0 {
		return step(x >= l.at(0))
	}
	return math.Erfc(-l.z(x)/math.Sqrt2) / 2
}

// Survival returns P(X > x).
func (l LogNormal) Survival(x float64) float64 {
	if l.logSD == 0 {
		return step(x < l.at(0))
	}
	return math.Erfc(l.z(x)/math.Sqrt2) / 2
}

// z returns the standardised logarithm; −∞ up to the origin.
func (l LogNormal) z(x float64) float64 {
	return (math.Log(max(x-l.origin, 0)) - l.logMean) / l.logSD
}

// at is the value at a standard normal z.
func (l LogNormal) at(z float64) float64 {
	if l.logSD == 0 && !math.IsNaN(z) {
		z = 0
	}
	return l.origin + math.Exp(l.logMean+l.logSD*z)
}

// Quantile returns the x below which a share p lies.
func (l LogNormal) Quantile(p float64) float64 { return l.at(StandardQuantile(p)) }

// UpperQuantile returns the x above which a share q lies.
func (l LogNormal) UpperQuantile(q float64) float64 { return l.at(-StandardQuantile(q)) }

// Moments returns the closed forms in w = exp(logSD²).
func (l LogNormal) Moments() Moments {
	if l.logSD == 0 {
		return Moments{Mean: l.at(0)}
	}
	s2 := l.logSD * l.logSD
	above, rise := math.Exp(l.logMean+s2/2), math.Expm1(s2)
	return Moments{
		Mean:           l.origin + above,
		Variance:       above * above * rise,
		Skewness:       (rise + 3) * math.Sqrt(rise),
		ExcessKurtosis: math.Expm1(4*s2) + 2*math.Expm1(3*s2) + 3*math.Expm1(2*s2),
	}
}

// Support is from the origin up.
func (l LogNormal) Support() (lowest, highest float64) { return l.at(math.Inf(-1)), l.at(math.Inf(1)) }

// Draw fills dst with the next values of a stream.
func (l LogNormal) Draw(dst []float64, s *Stream) {
	s.Normals(dst)
	for i, z := range dst {
		dst[i] = l.origin + math.Exp(l.logMean+float64(l.logSD*z))
	}
}
