package form

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/fault"
)

// principal holds the principal axes of a cloud about its mean, the widest first.
type principal struct {
	axis [3]r3.Vec
	size [3]float64 // root of the sum of squares along each
}

// principalAxes are the right singular vectors of the points about their mean: that keeps the digits
// of the narrowest, which the matrix of products would square away.
func (c *cloud) principalAxes() (principal, error) {
	rows := mat.NewDense(max(3, len(c.p)), 3, nil)
	for i, p := range c.p {
		d := r3.Sub(p, c.mean)
		rows.SetRow(i, []float64{d.X, d.Y, d.Z})
	}
	var svd mat.SVD
	if !svd.Factorize(rows, mat.SVDThinV) {
		return principal{}, atFault(whole, "the scatter has no principal axes", "points of moderate size", fault.ErrNotConverging)
	}
	var v mat.Dense
	svd.VTo(&v)
	var p principal
	svd.Values(p.size[:])
	for k := range p.axis {
		p.axis[k] = r3.Unit(r3.Vec{X: v.At(0, k), Y: v.At(1, k), Z: v.At(2, k)})
	}
	return p, nil
}

// collinear is how far, against the size of the cloud, points may stray from a line and still count
// as on it: a nanometre over a metre.
const collinear = 1e-9

// spread returns the principal axes of points that do not all lie on one line.
func (c *cloud) spread() (principal, error) {
	axes, err := c.principalAxes()
	if err != nil {
		return axes, err
	}
	far, row := 0.0, 0
	for i, q := range c.p {
		if off := r3.Norm(r3.Cross(axes.axis[0], r3.Sub(q, c.mean))); off > far {
			far, row = off, i
		}
	}
	if far > collinear && far > c.grain {
		return axes, nil
	}
	return axes, atFault(row, fmt.Sprintf("of all points it lies farthest from their common line, %.3g mm", far*c.scale), "points that span an area", ErrCollinear)
}

// checkSolid refuses points that all lie in one plane.
func (c *cloud) checkSolid(p principal) error {
	far := 0.0
	for _, q := range c.p {
		far = math.Max(far, math.Abs(r3.Dot(p.axis[2], r3.Sub(q, c.mean))))
	}
	if far > collinear && far > c.grain {
		return nil
	}
	return atFault(whole, "they lie in one plane", "points in two or more cross-sections", fault.ErrUndefined)
}
