package stackup

import (
	"math"

	"example.com/borestack/stackup/law"
)

// affine is a law spread about a centre by a scale, then shifted. Its draws are those of the law, moved.
type affine struct {
	law                  law.Law
	scale, centre, shift float64 // scale ≥ 0
}

// Scaled returns a law whose deviations from its mean are scaled; where it has no finite mean, those from its median. It returns an [InputError] unless scale ≥ 0.
func Scaled(l law.Law, scale float64) (law.Law, error) {
	if isNil(l) {
		return nil, &InputError{"spread", "no law", "a law"}
	}
	if !(scale >= 0) || math.IsInf(scale, 0) {
		return nil, &InputError{"spread", numberOf(scale), "0 or more"}
	}
	centre := l.Moments().Mean
	if centre-centre != 0 {
		centre = l.Quantile(0.5)
	}
	return affine{l, scale, centre, 0}, nil
}

// Shifted returns a law moved by a distance. It returns an [InputError] unless that is finite.
func Shifted(l law.Law, by float64) (law.Law, error) {
	if isNil(l) {
		return nil, &InputError{"shift", "no law", "a law"}
	}
	if by-by != 0 {
		return nil, &InputError{"shift", numberOf(by), "a finite number"}
	}
	return affine{l, 1, 0, by}, nil
}

// to is the value that x of the law becomes.
func (a affine) to(x float64) float64 {
	switch a.scale {
	case 0: // of infinite values too
		return a.centre + a.shift
	case 1:
		return x + a.shift
	}
	return a.centre + a.scale*(x-a.centre) + a.shift
}

// from is the inverse, for scale > 0.
func (a affine) from(y float64) float64 {
	if a.scale == 1 {
		return y - a.shift
	}
	return (y-a.shift-a.centre)/a.scale + a.centre
}

func (a affine) move(x []float64) {
	for i, v := range x {
		x[i] = a.to(v)
	}
}

// CDF returns P(X ≤ x).
func (a affine) CDF(x float64) float64 {
	if a.scale == 0 {
		if x >= a.centre+a.shift {
			return 1
		}
		return 0
	}
	return a.law.CDF(a.from(x))
}

// Survival returns P(X > x).
func (a affine) Survival(x float64) float64 {
	if a.scale == 0 {
		return 1 - a.CDF(x)
	}
	return a.law.Survival(a.from(x))
}

// Quantile returns the x below which a share p lies.
func (a affine) Quantile(p float64) float64 { return a.to(a.law.Quantile(p)) }

// UpperQuantile returns the x above which a share q lies.
func (a affine) UpperQuantile(q float64) float64 { return a.to(a.law.UpperQuantile(q)) }

// Moments returns those of the law, moved.
func (a affine) Moments() law.Moments {
	if a.scale == 0 {
		return law.Moments{Mean: a.centre + a.shift}
	}
	m := a.law.Moments()
	m.Mean = a.to(m.Mean)
	m.Variance *= a.scale * a.scale
	return m
}

// Support returns the least and the greatest value.
func (a affine) Support() (lowest, highest float64) {
	lowest, highest = a.law.Support()
	return a.to(lowest), a.to(highest)
}

// Draw fills dst with the next values of a stream.
func (a affine) Draw(dst []float64, s *law.Stream) {
	a.law.Draw(dst, s)
	a.move(dst)
}

// affinePlane is a plane law spread about its mean, then shifted.
type affinePlane struct {
	law    law.Plane
	scale  float64
	dx, dy float64
}

// ScaledPlane returns a plane law whose deviations from its mean are scaled. It returns an [InputError] unless scale ≥ 0.
func ScaledPlane(l law.Plane, scale float64) (law.Plane, error) {
	if isNil(l) {
		return nil, &InputError{"spread", "no law", "a law"}
	}
	if !(scale >= 0) || math.IsInf(scale, 0) {
		return nil, &InputError{"spread", numberOf(scale), "0 or more"}
	}
	if p, ok := l.(law.Pair); ok { // remains a pair, whose rectangle has a worst case
		x, err := Scaled(p.X, scale)
		if err != nil {
			return nil, err
		}
		y, err := Scaled(p.Y, scale)
		return law.Pair{X: x, Y: y}, err
	}
	return affinePlane{l, scale, 0, 0}, nil
}

// ShiftedPlane returns a plane law moved by a distance. It returns an [InputError] unless that is finite.
func ShiftedPlane(l law.Plane, dx, dy float64) (law.Plane, error) {
	if isNil(l) {
		return nil, &InputError{"shift", "no law", "a law"}
	}
	if d := dx + dy; d-d != 0 {
		return nil, &InputError{"shift", numberOf(dx) + ", " + numberOf(dy), "finite numbers"}
	}
	if p, ok := l.(law.Pair); ok {
		x, err := Shifted(p.X, dx)
		if err != nil {
			return nil, err
		}
		y, err := Shifted(p.Y, dy)
		return law.Pair{X: x, Y: y}, err
	}
	return affinePlane{l, 1, dx, dy}, nil
}

func (a affinePlane) move(x, y []float64) {
	mx, my := a.law.Mean()
	for i := range x {
		x[i], y[i] = x[i]+(a.scale-1)*(x[i]-mx)+a.dx, y[i]+(a.scale-1)*(y[i]-my)+a.dy
	}
}

// Mean returns the mean vector.
func (a affinePlane) Mean() (x, y float64) {
	x, y = a.law.Mean()
	return x + a.dx, y + a.dy
}

// Covariance returns the variances of x and y and their covariance.
func (a affinePlane) Covariance() (xx, yy, xy float64) {
	xx, yy, xy = a.law.Covariance()
	v := a.scale * a.scale
	return xx * v, yy * v, xy * v
}

// Reach returns the set that bounds the pair.
func (a affinePlane) Reach() (law.Reach, bool) {
	r, ok := a.law.Reach()
	mx, my := a.law.Mean()
	r.X, r.Y = mx+a.scale*(r.X-mx)+a.dx, my+a.scale*(r.Y-my)+a.dy
	r.A, r.B = r.A*a.scale, r.B*a.scale
	if !ok && a.scale == 0 {
		return law.Reach{X: mx + a.dx, Y: my + a.dy}, true
	}
	return r, ok
}

// Draw fills x and y with the next pairs of a stream.
func (a affinePlane) Draw(x, y []float64, s *law.Stream) {
	a.law.Draw(x, y, s)
	a.move(x, y)
}
