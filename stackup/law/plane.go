package law

import "math"

// Disc is the uniform law over a disc.
type Disc struct{ x, y, radius float64 }

// NewDisc returns the uniform law over a disc. It returns a [ParameterError] unless the centre is finite and radius ≥ 0.
func NewDisc(x, y, radius float64) (Disc, error) {
	if err := finite("disc", []string{"centre x", "centre y"}, x, y); err != nil {
		return Disc{}, err
	}
	if err := atLeastZero("disc", "radius", radius); err != nil {
		return Disc{}, err
	}
	return Disc{x, y, radius}, nil
}

// Mean returns the centre.
func (l Disc) Mean() (x, y float64) { return l.x, l.y }

// Covariance is radius²/4 on either axis.
func (l Disc) Covariance() (xx, yy, xy float64) {
	v := l.radius * l.radius / 4
	return v, v, 0
}

// Reach returns the disc.
func (l Disc) Reach() (Reach, bool) { return Reach{X: l.x, Y: l.y, A: l.radius, B: l.radius}, true }

// Draw fills x and y with the next pairs, by rejection from the square.
func (l Disc) Draw(x, y []float64, s *Stream) {
	for i := range x {
		u, v := inDisc(s)
		x[i], y[i] = l.x+float64(l.radius*u), l.y+float64(l.radius*v)
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

// Ring is the uniform law over the rim of a disc: a size that is known with a clock angle that is not.
type Ring struct{ x, y, radius float64 }

// NewRing returns the uniform law over a circle. It returns a [ParameterError] unless the centre is finite and radius ≥ 0.
func NewRing(x, y, radius float64) (Ring, error) {
	if err := finite("ring", []string{"centre x", "centre y"}, x, y); err != nil {
		return Ring{}, err
	}
	if err := atLeastZero("ring", "radius", radius); err != nil {
		return Ring{}, err
	}
	return Ring{x, y, radius}, nil
}

// Mean returns the centre.
func (l Ring) Mean() (x, y float64) { return l.x, l.y }

// Covariance is radius²/2 on either axis.
func (l Ring) Covariance() (xx, yy, xy float64) {
	v := l.radius * l.radius / 2
	return v, v, 0
}

// Reach returns the disc that the circle bounds: its convex hull.
func (l Ring) Reach() (Reach, bool) { return Reach{X: l.x, Y: l.y, A: l.radius, B: l.radius}, true }

// Draw fills x and y with the next pairs: the direction of a point of the unit disc.
func (l Ring) Draw(x, y []float64, s *Stream) {
	for i := range x {
		u, v := direction(s)
		scale := l.radius / math.Hypot(u, v)
		x[i], y[i] = l.x+float64(scale*u), l.y+float64(scale*v)
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
