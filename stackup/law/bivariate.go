package law

import "math"

// Ellipse is the uniform law over an ellipse.
type Ellipse struct {
	x, y, a, b float64
	sin, cos   float64
	angle      float64
}

// NewEllipse returns the uniform law over an ellipse with semi-axes a and b, a along the direction angle (radians from +x towards +y). It returns a [ParameterError] unless centre and angle are finite and a, b ≥ 0.
func NewEllipse(x, y, a, b, angle float64) (Ellipse, error) {
	const name = "ellipse"
	if err := finite(name, []string{"centre x", "centre y", "angle"}, x, y, angle); err != nil {
		return Ellipse{}, err
	}
	if err := atLeastZero(name, "first semi-axis", a); err != nil {
		return Ellipse{}, err
	}
	if err := atLeastZero(name, "second semi-axis", b); err != nil {
		return Ellipse{}, err
	}
	sin, cos := math.Sincos(angle)
	return Ellipse{x, y, a, b, sin, cos, angle}, nil
}

// Mean returns the centre.
func (l Ellipse) Mean() (x, y float64) { return l.x, l.y }

// Covariance is a²/4 and b²/4 along the axes of the ellipse.
func (l Ellipse) Covariance() (xx, yy, xy float64) {
	va, vb := l.a*l.a/4, l.b*l.b/4
	return va*l.cos*l.cos + vb*l.sin*l.sin, va*l.sin*l.sin + vb*l.cos*l.cos, (va - vb) * l.sin * l.cos
}

// Reach returns the ellipse.
func (l Ellipse) Reach() (Reach, bool) {
	return Reach{X: l.x, Y: l.y, A: l.a, B: l.b, Angle: l.angle}, true
}

// Draw fills x and y with the next pairs: points of the unit disc, stretched and turned.
func (l Ellipse) Draw(x, y []float64, s *Stream) {
	for i := range x {
		u, v := inDisc(s)
		u, v = l.a*u, l.b*v
		x[i] = l.x + (float64(l.cos*u) - float64(l.sin*v))
		y[i] = l.y + (float64(l.sin*u) + float64(l.cos*v))
	}
}

// Bivariate is the normal law in the plane, with correlation.
type Bivariate struct {
	mx, my, vxx, vyy, vxy float64
	xx, yx, yy            float64 // x = mx + xx z₁, y = my + yx z₁ + yy z₂
}

// NewBivariate returns the normal law of a pair with mean (mx, my), variances vxx and vyy and covariance vxy. Variances may be 0 and the covariance matrix singular. It returns a [ParameterError] unless the means are finite, the variances ≥ 0 and vxy² ≤ vxx·vyy, but for rounding.
func NewBivariate(mx, my, vxx, vyy, vxy float64) (Bivariate, error) {
	if err := checkPlane("plane normal", mx, my, vxx, vyy, vxy); err != nil {
		return Bivariate{}, err
	}
	l := Bivariate{mx: mx, my: my, vxx: vxx, vyy: vyy, vxy: vxy, xx: math.Sqrt(vxx)}
	rest := vyy
	if vxx > 0 {
		l.yx = vxy / l.xx
		rest = vyy - vxy/vxx*vxy
	}
	if rest > singularVariance*vyy {
		l.yy = math.Sqrt(rest)
	}
	return l, nil
}

// Mean returns the mean vector.
func (l Bivariate) Mean() (x, y float64) { return l.mx, l.my }

// Covariance returns the variances and the covariance.
func (l Bivariate) Covariance() (xx, yy, xy float64) { return l.vxx, l.vyy, l.vxy }

// Reach reports false, unless the pair is a constant.
func (l Bivariate) Reach() (Reach, bool) {
	if l.vxx == 0 && l.vyy == 0 {
		return Reach{X: l.mx, Y: l.my}, true
	}
	return Reach{}, false
}

// Size returns the law of the distance from 0.
func (l Bivariate) Size() NormalSize {
	size, _ := NewNormalSize(l.mx, l.my, l.vxx, l.vyy, l.vxy) // checked when l was made
	return size
}

// Draw fills x and y with the next pairs: first all normal numbers for x, then those for y.
func (l Bivariate) Draw(x, y []float64, s *Stream) {
	s.Normals(x)
	s.Normals(y)
	for i, z := range x {
		x[i] = l.mx + float64(l.xx*z)
		y[i] = l.my + (float64(l.yx*z) + float64(l.yy*y[i]))
	}
}
