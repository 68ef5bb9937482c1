package seat

import (
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/form"
)

// Plane is z = z + sx x + sy y, millimetres and ratios.
type Plane struct{ Z, SX, SY float64 }

// At is its height.
func (p Plane) At(x, y float64) float64 { return p.Z + p.SX*x + p.SY*y }

// Fit is the least-squares plane of heights z over (x, y).
func Fit(pts []r3.Vec) Plane {
	z, sx, sy := form.PlaneOver(pts)
	return Plane{z, sx, sy}
}
