package align

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// plane is z = z + sx x + sy y, millimetres and ratios.
type plane struct{ z, sx, sy float64 }

func (p plane) at(x, y float64) float64 { return p.z + p.sx*x + p.sy*y }

// collinearPoints is the share of the product of its spreads that a set of points must have left of its
// determinant, rounding of which is 2⁻⁵³ a term.
const collinearPoints = 1e-14

// fitPlane is the least-squares plane of heights z over (x, y), about the centroid so that it keeps its digits far from the origin.
func fitPlane(pts []r3.Vec) plane {
	var c r3.Vec
	for _, p := range pts {
		c = r3.Add(c, p)
	}
	c = r3.Scale(1/float64(len(pts)), c)
	var xx, xy, yy, xz, yz float64
	for _, p := range pts {
		x, y, z := p.X-c.X, p.Y-c.Y, p.Z-c.Z
		xx += x * x
		xy += x * y
		yy += y * y
		xz += x * z
		yz += y * z
	}
	d := xx*yy - xy*xy
	if !(math.Abs(d) > collinearPoints*xx*yy) {
		return plane{z: c.Z}
	}
	sx, sy := (xz*yy-yz*xy)/d, (yz*xx-xz*xy)/d
	return plane{c.Z - sx*c.X - sy*c.Y, sx, sy}
}
