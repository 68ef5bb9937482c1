package floatset

import (
	"math"

	"example.com/borestack/align/internal/dense"
)

// Bounded reports whether the constraints hold every way to move: the directions that they locate
// span shift and turn.
func (s *Set) Bounded(pilot bool) bool {
	const (
		held = 1e-9 // share of the largest below which nothing is held
		arm  = 1e-6 // mm: a pin nearer the registration point than that stands on it but for rounding, and holds no turn
	)
	var a [3][3]float64
	add := func(r [3]float64, _ float64) {
		for i := range 3 {
			for k := range 3 {
				a[i][k] += r[i] * r[k]
			}
		}
	}
	if pilot {
		add([3]float64{1, 0, 0}, 0)
		add([3]float64{0, 1, 0}, 0)
	}
	for _, f := range s.Constraints {
		if dense.Length(f.QX, f.QY) < arm {
			f.QX, f.QY = 0, 0
		}
		f.ways(s.CharLength, add)
	}
	det := a[0][0]*(a[1][1]*a[2][2]-a[1][2]*a[2][1]) - a[0][1]*(a[1][0]*a[2][2]-a[1][2]*a[2][0]) + a[0][2]*(a[1][0]*a[2][1]-a[1][1]*a[2][0])
	trace := a[0][0] + a[1][1] + a[2][2]
	return det > held*held*trace*trace*trace
}

// TurnsAt is the interval of γ in which the constraint holds at the shift of v.
func (f *Constraint) TurnsAt(v Vec) (lo, hi float64, ok bool) {
	x, y, qx, qy := f.PX+v.X, f.PY+v.Y, f.QX, f.QY
	if f.Slab {
		x, qx, y, qy = f.NX*x+f.NY*y, f.NX*qx+f.NY*qy, 0, 0
	}
	room := f.Radius + FoulTol
	qq := qx*qx + qy*qy
	if qq == 0 {
		return math.Inf(-1), math.Inf(1), x*x+y*y <= room*room
	}
	middle := -(x*qx + y*qy) / qq
	dx, dy := x+middle*qx, y+middle*qy
	left := room*room - dx*dx - dy*dy
	if left < 0 {
		return 0, 0, false
	}
	half := math.Sqrt(left / qq)
	return middle - half, middle + half, true
}
