package law

import "math"

// round is uniform over an ellipse, or over the rim of a disc: a and b are its semi-axes, a along the direction whose sine
// and cosine are given.
type round struct {
	x, y, a, b float64
	sin, cos   float64
	rim        bool
}

// NewDisc returns the uniform law over a disc. It returns a [fault.FieldError] unless the centre is finite and
// radius ≥ 0.
func NewDisc(x, y, radius float64) (Joint, error) {
	return made[Joint](round{x, y, radius, radius, 0, 1, false}, checkRound("disc", x, y, radius))
}

// NewRing returns the uniform law over a circle: a size that is known with a clock angle that is not. It returns a
// [fault.FieldError] unless the centre is finite and radius ≥ 0.
func NewRing(x, y, radius float64) (Joint, error) {
	return made[Joint](round{x, y, radius, radius, 0, 1, true}, checkRound("ring", x, y, radius))
}

func checkRound(name string, x, y, radius float64) error {
	return check(name, finite("centre x", x), finite("centre y", y), atLeastZero("radius", radius))
}

// NewEllipse returns the uniform law over an ellipse with semi-axes a and b, a along the direction angle (radians from
// +x towards +y). It returns a [fault.FieldError] unless centre and angle are finite and a, b ≥ 0.
func NewEllipse(x, y, a, b, angle float64) (Joint, error) {
	sin, cos := math.Sincos(angle)
	return made[Joint](round{x, y, a, b, sin, cos, false}, check("ellipse", finite("centre x", x), finite("centre y", y),
		finite("angle", angle), atLeastZero("first semi-axis", a), atLeastZero("second semi-axis", b)))
}

// Columns returns 2.
func (l round) Columns() int { return 2 }

// Mean returns the centre's x or y.
func (l round) Mean(column int) float64 { return [2]float64{l.x, l.y}[column] }

// Covariance is a²/4 and b²/4 along the axes of the ellipse, radius²/2 of a rim.
func (l round) Covariance(i, j int) float64 {
	part := 4.0
	if l.rim {
		part = 2
	}
	va, vb := l.a*l.a/part, l.b*l.b/part
	switch i + j {
	case 0:
		return va*l.cos*l.cos + vb*l.sin*l.sin
	case 2:
		return va*l.sin*l.sin + vb*l.cos*l.cos
	}
	return (va - vb) * l.sin * l.cos
}

// Reach returns the ellipse.
func (l round) Reach() ([]Set, bool) {
	return []Set{{Centre: []float64{l.x, l.y}, A: []float64{l.a * l.cos, l.a * l.sin}, B: []float64{-l.b * l.sin, l.b * l.cos}, Rim: l.rim}}, true
}

// Draw fills the two columns with the next pairs: points of the unit disc, by rejection from the square, stretched and
// turned; or their directions.
func (l round) Draw(dst [][]float64, _ []float64, s *Stream) {
	x, y := dst[0], dst[1]
	for i := range x {
		if l.rim {
			u, v := direction(s)
			scale := l.a / math.Hypot(u, v)
			x[i], y[i] = l.x+float64(scale*u), l.y+float64(scale*v)
			continue
		}
		x[i], y[i] = l.put(inDisc(s))
	}
}

// put moves a point of the unit disc onto the ellipse.
func (l round) put(u, v float64) (x, y float64) {
	u, v = l.a*u, l.b*v
	return l.x + (float64(l.cos*u) - float64(l.sin*v)), l.y + (float64(l.sin*u) + float64(l.cos*v))
}

// Numbers returns 2.
func (l round) Numbers() int { return 2 }

// FromNormals makes pairs of the law of pairs of independent standard normal numbers: a point keeps its direction,
// and its radius the share inside, which is 1 − exp(−ρ²/2) for pairs within ρ and r² for points within r.
func (l round) FromNormals(dst, z [][]float64, _ []float64) {
	for i, u := range z[0] {
		v := z[1][i]
		squares := u*u + v*v
		switch {
		case l.rim && squares > 0:
			size := math.Hypot(u, v)
			u, v = u/size, v/size
		case l.rim:
			u = 1
		default:
			scale := math.Sqrt2 / 2 // as ρ → 0
			if squares > 0 {
				scale = math.Sqrt(-math.Expm1(-squares/2) / squares)
			}
			u, v = scale*u, scale*v
		}
		dst[0][i], dst[1][i] = l.put(u, v)
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
func NewBivariate(mx, my, vxx, vyy, vxy float64) (Joint, error) {
	l := bivariate{mx: mx, my: my, vxx: vxx, vyy: vyy, vxy: vxy, xx: math.Sqrt(vxx)}
	rest := vyy
	if vxx > 0 {
		l.yx = vxy / l.xx
		rest = vyy - vxy/vxx*vxy
	}
	if rest > singularVariance*vyy {
		l.yy = math.Sqrt(rest)
	}
	return made[Joint](l, checkPlane("plane normal", mx, my, vxx, vyy, vxy))
}

// Columns returns 2.
func (l bivariate) Columns() int { return 2 }

// Mean returns mx or my.
func (l bivariate) Mean(column int) float64 { return [2]float64{l.mx, l.my}[column] }

// Covariance returns vxx, vyy or vxy.
func (l bivariate) Covariance(i, j int) float64 { return [3]float64{l.vxx, l.vxy, l.vyy}[i+j] }

// Reach reports false, unless the pair is a constant.
func (l bivariate) Reach() ([]Set, bool) {
	return []Set{{Centre: []float64{l.mx, l.my}}}, l.vxx == 0 && l.vyy == 0
}

// Draw fills the two columns with the next pairs: first all normal numbers for x, then those for y.
func (l bivariate) Draw(dst [][]float64, _ []float64, s *Stream) {
	s.Normals(dst[0])
	s.Normals(dst[1])
	l.FromNormals(dst, dst, nil)
}

// Numbers returns 2.
func (l bivariate) Numbers() int { return 2 }

// FromNormals makes pairs of the law of pairs of independent standard normal numbers.
func (l bivariate) FromNormals(dst, z [][]float64, _ []float64) {
	x, y, v := dst[0], dst[1], z[1]
	for i, u := range z[0] {
		x[i] = l.mx + float64(l.xx*u)
		y[i] = l.my + (float64(l.yx*u) + float64(l.yy*v[i]))
	}
}
