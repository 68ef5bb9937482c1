package dense

import "math"

// NoPivot is the size, beside entries of the order of 1, below which a pivot counts as none: two
// circles nearer than this share of the line's length are at one place.
const NoPivot = 1e-9

// ReduceRows brings the first m columns of an n-row matrix to reduced form by Gauss-Jordan
// elimination with complete pivoting; columns m to width are carried along. order[c] is the row
// that column c was solved for, or -1. It returns the rank; pivots no more than least count as
// none.
func ReduceRows(a []float64, n, m, width int, order []int, least float64) (rank int) {
	for c := range order[:m] {
		order[c] = -1
	}
	for ; rank < n; rank++ {
		br, bc, big := -1, -1, least
		for r := rank; r < n; r++ {
			for c, v := range a[r*width:][:m] {
				if v = math.Abs(v); v > big && order[c] < 0 {
					br, bc, big = r, c, v
				}
			}
		}
		if br < 0 {
			break
		}
		top, best := a[rank*width:(rank+1)*width], a[br*width:(br+1)*width]
		for c := range top {
			top[c], best[c] = best[c], top[c]
		}
		order[bc] = rank
		inv := 1 / top[bc]
		for c := range top {
			top[c] *= inv
		}
		for r := range n {
			row := a[r*width:][:len(top)]
			if f := row[bc]; r != rank && f != 0 {
				for c, t := range top {
					row[c] -= f * t
				}
			}
		}
	}
	return rank
}
