package law

import "math"

// round is uniform over an ellipse, or over the rim of a disc.
type round struct {
	of       Reach
	sin, cos float64
}

// NewDisc returns the uniform law over a disc. It returns a [fault.FieldError] unless the centre is finite and
// radius ≥ 0.
func NewDisc(x, y, radius float64) (Plane, error) {
	return made[Plane](round{Reach{X: x, Y: y, A: radius, B: radius}, 0, 1}, checkRound("disc", x, y, radius))
}

// NewRing returns the uniform law over a circle: a size that is known with a clock angle that is not. It returns a
// [fault.FieldError] unless the centre is finite and radius ≥ 0.
func NewRing(x, y, radius float64) (Plane, error) {
	return made[Plane](round{Reach{X: x, Y: y, A: radius, B: radius, Rim: true}, 0, 1}, checkRound("ring", x, y, radius))
}

func checkRound(name string, x, y, radius float64) error {
	return check(name, finite("centre x", x), finite("centre y", y), atLeastZero("radius", radius))
}

// NewEllipse returns the uniform law over an ellipse with semi-axes a and b, a along the direction angle (radians from
// +x towards +y). It returns a [fault.FieldError] unless centre and angle are finite and a, b ≥ 0.
func NewEllipse(x, y, a, b, angle float64) (Plane, error) {
	sin, cos := math.Sincos(angle)
	return made[Plane](round{Reach{X: x, Y: y, A: a, B: b, Angle: angle}, sin, cos}, check("ellipse", finite("centre x", x), finite("centre y", y),
		finite("angle", angle), atLeastZero("first semi-axis", a), atLeastZero("second semi-axis", b)))
}

// Mean returns the centre.
func (l round) Mean() (x, y float64) { return l.of.X, l.of.Y }

// Covariance is a²/4 and b²/4 along the axes of the ellipse, radius²/2 of a rim.
func (l round) Covariance() (xx, yy, xy float64) {
	part := 4.0
	if l.of.Rim {
		part = 2
	}
	va, vb := l.of.A*l.of.A/part, l.of.B*l.of.B/part
	return va*l.cos*l.cos + vb*l.sin*l.sin, va*l.sin*l.sin + vb*l.cos*l.cos, (va - vb) * l.sin * l.cos
}

// Reach returns the ellipse: of a rim, its convex hull.
func (l round) Reach() (Reach, bool) { return l.of, true }

// Draw fills x and y with the next pairs: points of the unit disc, by rejection from the square, stretched and turned;
// or their directions.
func (l round) Draw(x, y []float64, s *Stream) {
	for i := range x {
		if l.of.Rim {
			u, v := direction(s)
			scale := l.of.A / math.Hypot(u, v)
			x[i], y[i] = l.of.X+float64(scale*u), l.of.Y+float64(scale*v)
			continue
		}
		x[i], y[i] = l.put(inDisc(s))
	}
}

// put moves a point of the unit disc onto the ellipse.
func (l round) put(u, v float64) (x, y float64) {
	u, v = l.of.A*u, l.of.B*v
	return l.of.X + (float64(l.cos*u) - float64(l.sin*v)), l.of.Y + (float64(l.sin*u) + float64(l.cos*v))
}

// FromNormals turns pairs of independent standard normal numbers into pairs of the law: a point keeps its direction,
// and its radius the share inside, which is 1 − exp(−ρ²/2) for pairs within ρ and r² for points within r.
func (l round) FromNormals(x, y []float64) {
	for i, u := range x {
		v := y[i]
		squares := u*u + v*v
		switch {
		case l.of.Rim && squares > 0:
			size := math.Hypot(u, v)
			u, v = u/size, v/size
		case l.of.Rim:
			u = 1
		default:
			scale := math.Sqrt2 / 2 // as ρ → 0
			if squares > 0 {
				scale = math.Sqrt(-math.Expm1(-squares/2) / squares)
			}
			u, v = scale*u, scale*v
		}
		x[i], y[i] = l.put(u, v)
	}
}

// inDisc returns a point of the unit disc.
func inDisc(s *Stream) (u, v float64) {
	for {
		u, v = 2*s.Float64()-1, 2*s.Float64()-1
		if u*u+v*v <= 1 {
			return u, v
		}
	}
}

// direction returns a point of the unit disc other than its centre.
func direction(s *Stream) (u, v float64) {
	u, v = inDisc(s)
	for u == 0 && v == 0 {
		u, v = inDisc(s)
	}
	return u, v
}

// bivariate is normal in the plane, with correlation.
type bivariate struct {
	mx, my, vxx, vyy, vxy float64
	xx, yx, yy            float64 // x = mx + xx z₁, y = my + yx z₁ + yy z₂
}

// NewBivariate returns the normal law of a pair with mean (mx, my), variances vxx and vyy and covariance vxy.
// Variances may be 0 and the covariance matrix singular. It returns a [fault.FieldError] unless the means are finite,
// the variances ≥ 0 and vxy² ≤ vxx·vyy, but for rounding.
func NewBivariate(mx, my, vxx, vyy, vxy float64) (Plane, error) {
	l := bivariate{mx: mx, my: my, vxx: vxx, vyy: vyy, vxy: vxy, xx: math.Sqrt(vxx)}
	rest := vyy
	if vxx > 0 {
		l.yx = vxy / l.xx
		rest = vyy - vxy/vxx*vxy
	}
	if rest > singularVariance*vyy {
		l.yy = math.Sqrt(rest)
	}
	return made[Plane](l, checkPlane("plane normal", mx, my, vxx, vyy, vxy))
}

func (l bivariate) Mean() (x, y float64)             { return l.mx, l.my }
func (l bivariate) Covariance() (xx, yy, xy float64) { return l.vxx, l.vyy, l.vxy }

// Reach reports false, unless the pair is a constant.
func (l bivariate) Reach() (Reach, bool) {
	constant := l.vxx == 0 && l.vyy == 0
	return Reach{X: l.mx, Y: l.my}, constant
}

// Draw fills x and y with the next pairs: first all normal numbers for x, then those for y.
func (l bivariate) Draw(x, y []float64, s *Stream) {
	s.Normals(x)
	s.Normals(y)
	l.FromNormals(x, y)
}

// FromNormals turns pairs of independent standard normal numbers into pairs of the law.
func (l bivariate) FromNormals(x, y []float64) {
	for i, z := range x {
		x[i] = l.mx + float64(l.xx*z)
		y[i] = l.my + (float64(l.yx*z) + float64(l.yy*y[i]))
	}
}

// Pair is two independent laws, one for each axis.
type Pair struct{ X, Y Law }

// Mean returns the two means.
func (p Pair) Mean() (x, y float64) { return p.X.Moments().Mean, p.Y.Moments().Mean }

// Covariance returns the two variances; the covariance is 0.
func (p Pair) Covariance() (xx, yy, xy float64) {
	return p.X.Moments().Variance, p.Y.Moments().Variance, 0
}

// Reach reports false: the set is a rectangle, which the two laws bound one by one.
func (p Pair) Reach() (Reach, bool) { return Reach{}, false }

// Draw fills x, then y, with the next values.
func (p Pair) Draw(x, y []float64, s *Stream) {
	p.X.Draw(x, s)
	p.Y.Draw(y, s)
}

// FromNormals turns pairs of independent standard normal numbers into pairs of the law.
func (p Pair) FromNormals(x, y []float64) {
	FromNormals(p.X, x, x)
	FromNormals(p.Y, y, y)
}
