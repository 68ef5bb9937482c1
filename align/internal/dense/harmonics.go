package dense

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Harmonics has a row for each angle, in radians, and columns 1, cos θ, sin θ, cos 2θ, sin 2θ, ... to
// harmonic n: the design matrix of a series round a ring.
func Harmonics(theta []float64, n int) *mat.Dense {
	d := mat.NewDense(len(theta), 2*n+1, nil)
	for k, a := range theta {
		d.Set(k, 0, 1)
		for j := 1; j <= n; j++ {
			s, c := math.Sincos(float64(j) * a)
			d.Set(k, 2*j-1, c)
			d.Set(k, 2*j, s)
		}
	}
	return d
}
