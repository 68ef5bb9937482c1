package form

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/tolerance"
)

// Uncertainty says how well the points are known: independent of each other, and alike along every
// axis. The zero value says nothing, and results then carry no covariance.
type Uncertainty struct {
	Standard tolerance.Length // standard uncertainty (k = 1) of every point along each axis
}

// maxCoordinate, in mm, keeps squares of coordinates, and sums of them, finite.
const maxCoordinate = 1e100

// cloud is the points about their mean, in a unit that makes them about 1 in size, so that nothing
// that follows depends on the frame or on the unit. Points of a plane have Z = 0.
type cloud struct {
	p      []r3.Vec // (point - origin) / scale
	mean   r3.Vec   // of p: what the rounding of origin left
	origin r3.Vec   // mm
	scale  float64  // mm per unit; a power of two, so that scaling is exact
	grain  float64  // rounding of the coordinates as given, in units
	u      float64  // standard uncertainty in units; 0 when none is stated
}

// newCloud checks and centres the points. At least want of them are needed.
func newCloud(points []r3.Vec, u Uncertainty, want int) (*cloud, error) {
	if err := checkPoints(points, want); err != nil {
		return nil, err
	}
	c := &cloud{p: make([]r3.Vec, len(points)), origin: mean(points)}
	var largest, reach float64
	for i, p := range points {
		c.p[i] = r3.Sub(p, c.origin)
		largest, reach = math.Max(largest, greatest(p)), math.Max(reach, greatest(c.p[i]))
	}
	const roundings = 4 // one of each coordinate, one of the difference, and room
	ulp := math.Nextafter(largest, math.Inf(1)) - largest
	if reach <= roundings*ulp {
		return nil, atFault(len(points)-1, fmt.Sprintf("none is farther than %g mm from the others", 2*reach), "points apart from each other", ErrCoincident)
	}
	_, e := math.Frexp(reach)
	c.scale = math.Ldexp(1, e)
	c.grain = roundings * ulp / c.scale
	for i, d := range c.p {
		c.p[i] = r3.Scale(1/c.scale, d)
	}
	c.mean = mean(c.p)
	v := float64(u.Standard)
	if !(v >= 0) || math.IsInf(v, 0) {
		return nil, fault.At("uncertainty", fmt.Sprintf("%v mm", v), "a finite length of 0 or more", fault.ErrOutOfRange)
	}
	c.u = v / c.scale
	return c, nil
}

// mean is the points' mean.
func mean(points []r3.Vec) (m r3.Vec) {
	for _, p := range points {
		m = r3.Add(m, p)
	}
	return r3.Scale(1/float64(len(points)), m)
}

// greatest is the greatest size of a coordinate.
func greatest(p r3.Vec) float64 {
	return math.Max(math.Abs(p.X), math.Max(math.Abs(p.Y), math.Abs(p.Z)))
}

// checkPoints refuses too few points, and numbers that are not usable.
func checkPoints(points []r3.Vec, want int) error {
	if len(points) < want {
		return atFault(whole, fmt.Sprintf("%d of them", len(points)), fmt.Sprintf("%d or more", want), fault.ErrTooFew)
	}
	for i, p := range points {
		for k, v := range [3]float64{p.X, p.Y, p.Z} {
			if !ieee.Finite(v) {
				return atFault(i, fmt.Sprintf("%c = %v", 'x'+rune(k), v), "a number of millimetres", fault.ErrNotFinite)
			}
			if math.Abs(v) > maxCoordinate {
				return atFault(i, fmt.Sprintf("%c = %v mm", 'x'+rune(k), v), fmt.Sprintf("at most %g mm", maxCoordinate), fault.ErrOutOfRange)
			}
		}
	}
	return nil
}

// out carries a point of the cloud back to the frame and unit of the points given.
func (c *cloud) out(p r3.Vec) r3.Vec { return r3.Add(c.origin, r3.Scale(c.scale, p)) }

// length carries a length of the cloud back to millimetres.
func (c *cloud) length(v float64) tolerance.Length { return tolerance.Length(v * c.scale) }

// principal holds the principal axes of a cloud about its mean, the widest first.
type principal struct {
	axis [3]r3.Vec
	size [3]float64 // root of the sum of squares along each
}

// collinear is how far, against the size of the cloud, points may stray from a line and still count
// as on it: a nanometre over a metre.
const collinear = 1e-9

// spread returns the principal axes of points that do not all lie on one line: the right singular
// vectors of the points about their mean, which keeps the digits of the narrowest, that the matrix of
// products would square away.
func (c *cloud) spread() (axes principal, err error) {
	rows := mat.NewDense(max(3, len(c.p)), 3, nil)
	for i, p := range c.p {
		d := r3.Sub(p, c.mean)
		rows.SetRow(i, []float64{d.X, d.Y, d.Z})
	}
	var svd mat.SVD
	if !svd.Factorize(rows, mat.SVDThinV) {
		return axes, atFault(whole, "the scatter has no principal axes", "points of moderate size", fault.ErrNotConverging)
	}
	var v mat.Dense
	svd.VTo(&v)
	svd.Values(axes.size[:])
	for k := range axes.axis {
		axes.axis[k] = r3.Unit(r3.Vec{X: v.At(0, k), Y: v.At(1, k), Z: v.At(2, k)})
	}
	row, far, stray := c.farthest(func(d r3.Vec) float64 { return r3.Norm(r3.Cross(axes.axis[0], d)) })
	if !stray {
		err = atFault(row, fmt.Sprintf("of all points it lies farthest from their common line, %.3g mm", far*c.scale), "points that span an area", ErrCollinear)
	}
	return axes, err
}

// checkSolid refuses points that all lie in one plane.
func (c *cloud) checkSolid(p principal) error {
	if _, _, stray := c.farthest(func(d r3.Vec) float64 { return math.Abs(r3.Dot(p.axis[2], d)) }); stray {
		return nil
	}
	return atFault(whole, "they lie in one plane", "points in two or more cross-sections", fault.ErrUndefined)
}

// farthest is the point that is farthest by some measure from the mean, and whether that is more than
// rounding.
func (c *cloud) farthest(of func(r3.Vec) float64) (row int, far float64, stray bool) {
	for i, q := range c.p {
		if v := of(r3.Sub(q, c.mean)); v > far {
			row, far = i, v
		}
	}
	return row, far, far > collinear && far > c.grain
}

// station looks for two rows that agree in the two coordinates across the axis nearest to the normal
// and differ along it: one station with two heights. It compares the coordinates as given, bit for
// bit; a row repeated whole is no fault.
func station(points []r3.Vec, normal r3.Vec) error {
	type place struct{ a, b float64 } // + 0: no negative zeros among keys
	x, y, z := math.Abs(normal.X), math.Abs(normal.Y), math.Abs(normal.Z)
	pick := func(p r3.Vec) (place, float64) { return place{p.Y + 0, p.Z + 0}, p.X }
	switch {
	case z >= x && z >= y:
		pick = func(p r3.Vec) (place, float64) { return place{p.X + 0, p.Y + 0}, p.Z }
	case y >= x:
		pick = func(p r3.Vec) (place, float64) { return place{p.Z + 0, p.X + 0}, p.Y }
	}
	seen := make(map[place]int, len(points))
	for i, p := range points {
		at, height := pick(p)
		first, again := seen[at]
		if !again {
			seen[at] = i
			continue
		}
		if _, before := pick(points[first]); before != height {
			return atFault(i, fmt.Sprintf("height %v mm at (%v, %v), where row %d has %v mm", height, at.a, at.b, first, before),
				"one height for a station (average repeats)", ErrStation)
		}
	}
	return nil
}
