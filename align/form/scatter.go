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
	sq   [3]float64 // sum of squares along each
}

// principalAxes works out the axes to the relative accuracy of each, by rotations in the plane of every pair until the products vanish. Starting from the eigenvectors it takes one or two rounds.
func (c *cloud) principalAxes() (principal, error) {
	m := c.products([3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}})
	var eigen mat.EigenSym
	if !eigen.Factorize(m, true) {
		return principal{}, atFault(whole, "the scatter has no principal axes", "points of moderate size", fault.ErrNotConverging)
	}
	var v mat.Dense
	eigen.VectorsTo(&v)
	var p principal
	for k := range p.axis {
		col := 2 - k
		p.axis[k] = r3.Unit(r3.Vec{X: v.At(0, col), Y: v.At(1, col), Z: v.At(2, col)})
	}
	p.axis[2] = r3.Unit(r3.Cross(p.axis[0], p.axis[1]))
	const rounds = 3
	for range rounds {
		s := c.products(p.axis)
		for _, ij := range [3][2]int{{0, 1}, {0, 2}, {1, 2}} {
			i, j := ij[0], ij[1]
			apart := s.At(i, i) - s.At(j, j)
			// Alike in both directions: any pair of axes will do.
			if math.Abs(s.At(i, j)) >= apart/4 {
				continue
			}
			t := s.At(i, j) / apart
			a, b := p.axis[i], p.axis[j]
			p.axis[i] = r3.Unit(r3.Add(a, r3.Scale(t, b)))
			p.axis[j] = r3.Unit(r3.Sub(b, r3.Scale(t, a)))
		}
		p.axis[1] = r3.Unit(r3.Sub(p.axis[1], r3.Scale(r3.Dot(p.axis[1], p.axis[2]), p.axis[2])))
		p.axis[0] = r3.Unit(r3.Cross(p.axis[1], p.axis[2]))
		for k := range p.sq {
			p.sq[k] = s.At(k, k)
		}
	}
	return p, nil
}

// products is the matrix of sums of products about the mean along three axes.
func (c *cloud) products(axis [3]r3.Vec) *mat.SymDense {
	var s [6]float64
	for _, p := range c.p {
		d := r3.Sub(p, c.mean)
		x, y, z := r3.Dot(axis[0], d), r3.Dot(axis[1], d), r3.Dot(axis[2], d)
		s[0] += x * x
		s[1] += x * y
		s[2] += x * z
		s[3] += y * y
		s[4] += y * z
		s[5] += z * z
	}
	return mat.NewSymDense(3, []float64{s[0], s[1], s[2], s[1], s[3], s[4], s[2], s[4], s[5]})
}

// collinear is how far, against the size of the cloud, points may stray from a line and still count as on it: a nanometre over a metre.
const collinear = 1e-9

// checkSpread refuses points that all lie on one line.
func (c *cloud) checkSpread(p principal) error {
	far, row := 0.0, 0
	for i, q := range c.p {
		d := r3.Sub(q, c.mean)
		if off := r3.Norm(r3.Sub(d, r3.Scale(r3.Dot(d, p.axis[0]), p.axis[0]))); off > far {
			far, row = off, i
		}
	}
	if far > collinear && far > c.grain {
		return nil
	}
	return atFault(row, fmt.Sprintf("of all points it lies farthest from their common line, %.3g mm", far*c.scale), "points that span an area", ErrCollinear)
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

// alike reports whether two sums of squares are the same but for rounding, so that the directions between them are undefined.
func alike(larger, smaller, largest float64) bool {
	const rounding = 1e-12
	return larger-smaller <= rounding*largest
}
