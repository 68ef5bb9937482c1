package law

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// StandardQuantile returns the z below which a share p of the standard normal distribution lies: −∞ at 0, +∞ at 1,
// NaN when p is not a probability. For a share above, negate the result: the lower tail keeps its digits.
//
// One step of Halley's method on erfc brings the library's start to the last digits.
func StandardQuantile(p float64) float64 {
	switch {
	case !(p >= 0 && p <= 1):
		return math.NaN()
	case p > 0.5:
		return -StandardQuantile(1 - p)
	}
	z := distuv.UnitNormal.Quantile(p)
	if density := density(z); density > 0 {
		step := (math.Erfc(-z/math.Sqrt2)/2 - p) / density
		z -= step / (1 + z*step/2)
	}
	return z
}

// density is the standard normal density.
func density(z float64) float64 { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }

// ofNormal is the form of a distribution whose values rise with a standard normal number.
type ofNormal struct{ rising }

// rising is a value for every standard normal number, and back; a constant has one value for all.
type rising interface {
	from(z float64) float64
	z(x float64) float64
	Draw(dst []float64, s *Stream)
}

func newOfNormal(r rising, m Moments) Law {
	return distribution{ofNormal{r}, r.from(math.Inf(-1)), r.from(math.Inf(1)), m}
}

func (l ofNormal) tail(x float64, above bool) float64 {
	if above {
		return math.Erfc(l.z(x)/math.Sqrt2) / 2
	}
	return math.Erfc(-l.z(x)/math.Sqrt2) / 2
}

func (l ofNormal) quantile(p float64, above bool) float64 {
	if above {
		return l.from(-StandardQuantile(p))
	}
	return l.from(StandardQuantile(p))
}

// FromNormals sets dst[i] to the value of a law at the probability that a standard normal number z[i] is the quantile
// of, for numbers that are spread more evenly than at random. dst and z may be the same slice; it panics if dst is
// shorter than z.
func FromNormals(l Law, dst, z []float64) {
	dst = dst[:len(z)]
	if n, ok := asNormal(l); ok { // nearly all are: no call for each number
		for i, z := range z {
			dst[i] = n.from(z)
		}
		return
	}
	if d, ok := l.(distribution); ok {
		if n, ok := d.form.(ofNormal); ok {
			for i, z := range z {
				dst[i] = n.from(z)
			}
			return
		}
	}
	for i, z := range z {
		if tail := math.Erfc(math.Abs(z)/math.Sqrt2) / 2; z > 0 {
			dst[i] = l.UpperQuantile(tail)
		} else {
			dst[i] = l.Quantile(tail)
		}
	}
}

// normal is the normal distribution.
type normal struct{ mean, sd float64 }

// NewNormal returns the normal distribution. It returns a [fault.FieldError] unless mean is finite and sd ≥ 0.
func NewNormal(mean, sd float64) (Law, error) {
	const name = "normal"
	if err := check(name, finite("mean", mean), atLeastZero("sd", sd)); err != nil {
		return nil, err
	}
	return newOfNormal(normal{mean, sd}, Moments{Mean: mean, Variance: sd * sd}), nil
}

// FromCpk returns the normal distribution of a process with capability index Cpk for two limits whose mean is known
// to sit at the middle + shift: its standard deviation is the distance from the mean to the nearer limit over 3 Cpk.
// It returns a [fault.FieldError] unless the limits are finite and in order, cpk > 0 and the shifted mean lies within
// the limits.
//
// Source: ISO 22514-2:2017, minimum capability index of a normal distribution.
func FromCpk(lowest, highest, cpk, shift float64) (Law, error) {
	const name = "normal from limits"
	if err := check(name, interval(lowest, highest), positive("Cpk", cpk)); err != nil {
		return nil, err
	}
	half := (highest - lowest) / 2
	if err := check(name, must(math.Abs(shift) <= half, "shift", shift, "at most half the distance of the limits")); err != nil {
		return nil, err
	}
	return NewNormal(lowest+half+shift, (half-math.Abs(shift))/(3*cpk))
}

// IsNormal reports whether a law is a normal one of this package, as it is.
func IsNormal(l Law) bool {
	_, ok := asNormal(l)
	return ok
}

func asNormal(l Law) (normal, bool) {
	d, _ := l.(distribution)
	f, _ := d.form.(ofNormal)
	n, ok := f.rising.(normal)
	return n, ok
}

func (l normal) z(x float64) float64 { return (x - l.mean) / l.sd }

func (l normal) from(z float64) float64 {
	if l.sd == 0 {
		return l.mean
	}
	return l.mean + float64(l.sd*z)
}

// Draw fills dst with the next values of a stream.
func (l normal) Draw(dst []float64, s *Stream) { s.normals(dst, l.mean, l.sd) }

// logNormal is a value whose logarithm above an origin is normal.
type logNormal struct{ origin, logMean, logSD float64 }

// NewLogNormal returns the distribution of origin + exp(N), N normal with mean logMean and standard deviation logSD:
// of a size that cannot fall below the origin and has a long upper tail. It returns a [fault.FieldError] unless the
// origin and the median origin + exp(logMean) are finite and logSD ≥ 0.
func NewLogNormal(origin, logMean, logSD float64) (Law, error) {
	const name = "lognormal"
	if err := check(name, finite("origin", origin), finite("mean of the logarithm", logMean)); err != nil {
		return nil, err
	}
	if math.IsInf(origin+math.Exp(logMean), 0) {
		return nil, bad(name, "mean of the logarithm", logMean, "at most 709")
	}
	if err := check(name, atLeastZero("sd of the logarithm", logSD)); err != nil {
		return nil, err
	}
	l := logNormal{origin, logMean, logSD}
	if logSD == 0 {
		return newOfNormal(l, Moments{Mean: l.from(0)}), nil
	}
	s2 := logSD * logSD
	above, rise := math.Exp(logMean+s2/2), math.Expm1(s2)
	return newOfNormal(l, Moments{
		Mean:           origin + above,
		Variance:       above * above * rise,
		Skewness:       (rise + 3) * math.Sqrt(rise),
		ExcessKurtosis: math.Expm1(4*s2) + 2*math.Expm1(3*s2) + 3*math.Expm1(2*s2),
	}), nil
}

// z is the standardised logarithm; −∞ at the origin.
func (l logNormal) z(x float64) float64 { return (math.Log(x-l.origin) - l.logMean) / l.logSD }

func (l logNormal) from(z float64) float64 {
	if l.logSD == 0 {
		z = 0
	}
	return l.origin + math.Exp(l.logMean+float64(l.logSD*z))
}

// Draw fills dst with the next values of a stream.
func (l logNormal) Draw(dst []float64, s *Stream) {
	s.Normals(dst)
	for i, z := range dst {
		dst[i] = l.origin + math.Exp(l.logMean+float64(l.logSD*z))
	}
}
