// Package dense solves small dense systems in memory that the caller owns, and keeps that memory.
package dense

import "math"

// Cholesky factors the symmetric n×n matrix a (row-major, lower triangle used) in place as L Lᵀ. A
// pivot that has lost all its digits is replaced by its own diagonal's rounding, so that directions
// that the data leave free stay bounded.
func Cholesky(a []float64, n int) {
	for j := 0; j < n; j++ {
		rj := a[j*n : j*n+j+1]
		d := rj[j]
		floor := pivotFloor*math.Abs(d) + math.SmallestNonzeroFloat64
		for _, v := range rj[:j] {
			d -= v * v
		}
		if !(d > floor) {
			d = math.Max(floor, math.SmallestNonzeroFloat64*1e20)
		}
		d = math.Sqrt(d)
		rj[j] = d
		inv := 1 / d
		for i := j + 1; i < n; i++ {
			ri := a[i*n : i*n+j+1]
			s := ri[j]
			for k, v := range rj[:j] {
				s -= ri[k] * v
			}
			ri[j] = s * inv
		}
	}
}

// pivotFloor is the share of a diagonal entry below which a pivot is rounding: n·2⁻⁵³ with n up to
// a few hundred.
const pivotFloor = 1e-14

// Solve solves L Lᵀ x = b in place.
func Solve(l []float64, n int, x []float64) {
	for i := 0; i < n; i++ {
		r := l[i*n : i*n+i+1]
		s := x[i]
		for k, v := range r[:i] {
			s -= v * x[k]
		}
		x[i] = s / r[i]
	}
	for i := n - 1; i >= 0; i-- {
		s := x[i]
		for k := i + 1; k < n; k++ {
			s -= l[k*n+i] * x[k]
		}
		x[i] = s / l[i*n+i]
	}
}

// Resize is s with n elements, in the same memory where that is large enough; their values mean
// nothing.
func Resize[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n, n+n/2)
	}
	return s[:n]
}

// Zeros is s with n elements, all zero, in the same memory where that is large enough.
func Zeros[T any](s []T, n int) []T {
	s = Resize(s, n)
	clear(s)
	return s
}

// Length is the length of (x, y). Lengths here are millimetres and ratios, far from where a square
// would overflow or vanish, so that the plain root serves, several times quicker than one that
// guards against it.
func Length(x, y float64) float64 { return math.Sqrt(x*x + y*y) }

// Length3 is the length of (x, y, z).
func Length3(x, y, z float64) float64 { return math.Sqrt(x*x + y*y + z*z) }

// Solve3 solves a symmetric positive definite 3×3 system.
func Solve3(a [3][3]float64, b [3]float64) ([3]float64, bool) {
	det := a[0][0]*(a[1][1]*a[2][2]-a[1][2]*a[2][1]) - a[0][1]*(a[1][0]*a[2][2]-a[1][2]*a[2][0]) + a[0][2]*(a[1][0]*a[2][1]-a[1][1]*a[2][0])
	if !(math.Abs(det) > pivotFloor*a[0][0]*a[1][1]*a[2][2]) {
		return b, false
	}
	var x [3]float64
	for k := range 3 {
		m := a
		for i := range 3 {
			m[i][k] = b[i]
		}
		x[k] = (m[0][0]*(m[1][1]*m[2][2]-m[1][2]*m[2][1]) - m[0][1]*(m[1][0]*m[2][2]-m[1][2]*m[2][0]) + m[0][2]*(m[1][0]*m[2][1]-m[1][1]*m[2][0])) / det
	}
	return x, true
}
