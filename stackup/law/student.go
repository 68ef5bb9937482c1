package law

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Student is Student's t law, scaled and shifted: what is known of a mean from a few readings.
//
// Source: JCGM 101:2008, 6.4.9.
type Student struct{ centre, scale, dof float64 }

// NewStudent returns the law of centre + scale·T, T Student's t with the given degrees of freedom, which need not be whole. It returns a [ParameterError] unless the centre is finite, scale ≥ 0 and degrees of freedom > 0.
func NewStudent(centre, scale, degreesOfFreedom float64) (Student, error) {
	const name = "Student's t"
	if err := finite(name, []string{"centre"}, centre); err != nil {
		return Student{}, err
	}
	if err := atLeastZero(name, "scale", scale); err != nil {
		return Student{}, err
	}
	if err := positive(name, "degrees of freedom", degreesOfFreedom); err != nil {
		return Student{}, err
	}
	return Student{centre, scale, degreesOfFreedom}, nil
}

// CDF returns P(X ≤ x).
func (l Student) CDF(x float64) float64 {
	if l.scale == 0 {
		return step(x >= l.centre)
	}
	return l.beyond((l.centre - x) / l.scale)
}

// Survival returns P(X > x).
func (l Student) Survival(x float64) float64 {
	if l.scale == 0 {
		return step(x < l.centre)
	}
	return l.beyond((x - l.centre) / l.scale)
}

// beyond returns P(T > t).
func (l Student) beyond(t float64) float64 {
	switch {
	case math.IsNaN(t):
		return t
	case t < 0:
		return 1 - l.beyond(-t)
	case t > 1:
		return l.outer(t) / 2
	}
	return 0.5 - l.inner(t)/2
}

// manyDegrees is the number of degrees of freedom from which on the incomplete beta function loses digits, and the tails are integrated instead.
const manyDegrees = 60

// outer returns P(|T| > t).
func (l Student) outer(t float64) float64 {
	switch {
	case math.IsInf(t, 1):
		return 0
	case l.dof > manyDegrees:
		u := l.stretch(t)
		return l.integral(u, u+90/(u+math.Sqrt(u*u+90))) // to exp(−44) of the density
	case t > 1e150: // the power law: t² would overflow
		return math.Exp(l.logPower() - l.dof*math.Log(t/math.Sqrt(l.dof)))
	case t > 1:
		return mathext.RegIncBeta(l.dof/2, 0.5, l.dof/(l.dof+t*t))
	}
	return 1 - l.inner(t)
}

// inner returns P(|T| ≤ t).
func (l Student) inner(t float64) float64 {
	if l.dof > manyDegrees {
		return l.integral(0, l.stretch(t))
	}
	return mathext.RegIncBeta(0.5, l.dof/2, t*t/(l.dof+t*t))
}

// logPower is the logarithm of the factor of the power law of the tail, 2/(dof·B(dof/2, ½)).
func (l Student) logPower() float64 { return math.Log(2/l.dof) - mathext.Lbeta(l.dof/2, 0.5) }

// density returns the density of |T|.
func (l Student) density(t float64) float64 {
	stretched := t / math.Sqrt(l.dof)
	bell := math.Log1p(stretched * stretched)
	if math.IsInf(bell, 1) { // t² overflows
		bell = 2 * math.Log(stretched)
	}
	bell *= -(l.dof + 1) / 2
	if l.dof > manyDegrees {
		return math.Exp(bell) * l.height()
	}
	return 2 * math.Exp(bell-mathext.Lbeta(l.dof/2, 0.5)) / math.Sqrt(l.dof)
}

// height is the density of |T| at 0 for many degrees of freedom: √(2/π) times the asymptotic series of Γ((ν+1)/2)/Γ(ν/2)/√(ν/2), good to rounding.
//
// Source: Tricomi and Erdélyi, The asymptotic expansion of a ratio of gamma functions, Pacific J. Math. 1 (1951).
func (l Student) height() float64 {
	v := 1 / l.dof
	series := 1 + v*(-1.0/4+v*(1.0/32+v*(5.0/128+v*(-21.0/2048+v*(-399.0/8192+v*(869.0/65536+v*39325.0/262144))))))
	return math.Sqrt(2/math.Pi) * series
}

// stretch returns u = √(ν log(1 + t²/ν)), which is nearly normal: its density is height·exp(−u²(ν−1)/(2ν))·√(w/(exp w − 1)), w = u²/ν.
func (l Student) stretch(t float64) float64 { return math.Sqrt(l.dof * math.Log1p(t*t/l.dof)) }

// integral integrates the density of the stretched |T|.
func (l Student) integral(from, to float64) float64 {
	f := func(u float64) float64 {
		w := u * u / l.dof
		slow := 1.0
		if w > 0 {
			slow = math.Sqrt(w / math.Expm1(w))
		}
		return slow * math.Exp((from-u)*(from+u)/2*(1-1/l.dof))
	}
	const panels = 10
	var cuts [panels + 1]float64
	for i := range cuts {
		cuts[i] = from + (to-from)*float64(i*i)/(panels*panels)
	}
	return l.height() * math.Exp(-from*from/2*(1-1/l.dof)) * adaptive(f, cuts[:], coarseGap)
}

// Quantile returns the x below which a share p lies.
func (l Student) Quantile(p float64) float64 { return l.centre - l.deviation(p) }

// UpperQuantile returns the x above which a share q lies.
func (l Student) UpperQuantile(q float64) float64 { return l.centre + l.deviation(q) }

// deviation returns the deviation from the centre beyond which a share lies.
func (l Student) deviation(share float64) float64 {
	switch {
	case !(share >= 0 && share <= 1):
		return math.NaN()
	case l.scale == 0 || share == 0.5:
		return 0
	case share > 0.5:
		return -l.deviation(1 - share)
	case share == 0:
		return math.Inf(1)
	}
	start := -StandardQuantile(share)
	const far = 1e300
	if share > 0.25 {
		return l.scale * solve(l.inner, l.density, 1-2*share, 1, start, far, logScale)
	}
	if l.outer(far) > 2*share {
		return math.Inf(1)
	}
	if power := math.Exp((l.logPower()-math.Log(2*share))/l.dof) * math.Sqrt(l.dof); power > start && l.dof <= manyDegrees {
		start = min(power, far/2)
	}
	return l.scale * solve(l.outer, l.density, 2*share, -1, start, far, logScale)
}

// Moments returns the moments that exist: the mean for more than 1 degree of freedom, the variance for more than 2, the skewness for more than 3 and the kurtosis for more than 4.
func (l Student) Moments() Moments {
	if l.scale == 0 {
		return Moments{Mean: l.centre}
	}
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

// Support is the whole line, or the centre alone when the scale is 0.
func (l Student) Support() (lowest, highest float64) { return l.Quantile(0), l.UpperQuantile(0) }

// Draw fills dst with the next values of a stream by the polar method.
//
// Source: R. W. Bailey, Polar generation of random variates with the t-distribution, Math. Comp. 62 (1994).
func (l Student) Draw(dst []float64, s *Stream) {
	for i := range dst {
		u, v := direction(s)
		w := float64(u*u) + float64(v*v)
		t := u * math.Sqrt(l.dof*math.Expm1(-2/l.dof*math.Log(w))/w)
		dst[i] = l.centre + float64(l.scale*t)
	}
}
