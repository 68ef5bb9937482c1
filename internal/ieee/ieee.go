// Package ieee tells numbers of IEEE 754 from what is none.
package ieee

// Finite reports whether all numbers are finite: neither infinite nor NaN.
func Finite[T ~float64](v ...T) bool {
	for _, x := range v {
		if x-x != 0 {
			return false
		}
	}
	return true
}
