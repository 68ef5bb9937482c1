package law

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// student is Student's t, scaled and shifted.
type student struct{ centre, scale, dof float64 }

// manyDegrees is the number of degrees of freedom from which on Student's t is taken as normal: the chance beyond z is
// off by a share z⁴/(4 dof) of itself, 3e-4 at six standard deviations, 2e-6 of a 95 % interval's. The incomplete beta
// function, which gives it below, loses a digit for every tenfold: 1e-7 of a far tail is left to doubt at 9e5.
const manyDegrees = 1e6

// NewStudent returns the distribution of centre + scale·T, T Student's t with the given degrees of freedom, which need
// not be whole: what is known of a mean from a few readings. From 1e6 on it is normal. It returns a [fault.FieldError]
// unless the centre is finite, scale ≥ 0 and degrees of freedom > 0.
//
// Source: JCGM 101:2008, 6.4.9.
func NewStudent(centre, scale, degreesOfFreedom float64) (Law, error) {
	const name = "Student's t"
	if err := check(name, finite("centre", centre), atLeastZero("scale", scale), positive("degrees of freedom", degreesOfFreedom)); err != nil {
		return nil, err
	}
	if degreesOfFreedom >= manyDegrees {
		return NewNormal(centre, scale)
	}
	l := student{centre, scale, degreesOfFreedom}
	if scale == 0 {
		return distribution{l, centre, centre, Moments{Mean: centre}}, nil
	}
	return distribution{l, math.Inf(-1), math.Inf(1), l.moments()}, nil
}

func (l student) tail(x float64, above bool) float64 {
	t := (x - l.centre) / l.scale
	if !above {
		t = -t
	}
	return l.beyond(t)
}

// beyond returns P(T > t).
func (l student) beyond(t float64) float64 {
	switch {
	case t < 0:
		return 1 - l.beyond(-t)
	case t > 1:
		return l.outer(t) / 2
	}
	return 0.5 - l.inner(t)/2
}

// outer returns P(|T| > t).
func (l student) outer(t float64) float64 {
	switch {
	case math.IsInf(t, 1):
		return 0
	case t > 1e150: // the power law: t² would overflow
		return math.Exp(math.Log(2/l.dof) - mathext.Lbeta(l.dof/2, 0.5) - l.dof*math.Log(t/math.Sqrt(l.dof)))
	}
	return incompleteBeta(l.dof/2, 0.5, l.dof, t*t, l.dof+t*t)
}

// inner returns P(|T| ≤ t).
func (l student) inner(t float64) float64 {
	return incompleteBeta(0.5, l.dof/2, t*t, l.dof, l.dof+t*t)
}

func (l student) quantile(p float64, above bool) float64 {
	if above {
		return l.centre + l.deviation(p)
	}
	return l.centre - l.deviation(p)
}

// deviation returns the deviation from the centre beyond which a share lies.
func (l student) deviation(share float64) float64 {
	switch {
	case share == 0.5:
		return 0
	case share > 0.5:
		return -l.deviation(1 - share)
	}
	start := -StandardQuantile(share)
	const far = 1e300
	if share > 0.25 {
		return l.scale * solve(l.inner, 1-2*share, 1, start, far)
	}
	if l.outer(far) > 2*share {
		return math.Inf(1)
	}
	return l.scale * solve(l.outer, 2*share, -1, start, far)
}

// moments are those that exist: the mean for more than 1 degree of freedom, the variance for more than 2, the
// skewness for more than 3 and the kurtosis for more than 4.
func (l student) moments() Moments {
	m := Moments{Mean: math.NaN(), Variance: math.NaN(), Skewness: math.NaN(), ExcessKurtosis: math.NaN()}
	if l.dof > 1 {
		m.Mean, m.Variance = l.centre, math.Inf(1)
	}
	if l.dof > 2 {
		m.Variance, m.ExcessKurtosis = l.scale*l.scale*(l.dof/(l.dof-2)), math.Inf(1)
	}
	if l.dof > 3 {
		m.Skewness = 0
	}
	if l.dof > 4 {
		m.ExcessKurtosis = 6 / (l.dof - 4)
	}
	return m
}

// Draw fills dst with the next values of a stream by the polar method.
//
// Source: R. W. Bailey, Polar generation of random variates with the t-distribution, Math. Comp. 62 (1994).
func (l student) Draw(dst []float64, s *Stream) {
	for i := range dst {
		u, v := direction(s)
		w := float64(u*u) + float64(v*v)
		t := u * math.Sqrt(l.dof*math.Expm1(-2/l.dof*math.Log(w))/w)
		dst[i] = l.centre + float64(l.scale*t)
	}
}
