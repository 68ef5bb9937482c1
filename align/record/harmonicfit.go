package record

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"example.com/borestack/align/internal/dense"
)

// harmonicFit is the least-squares fit of mean and harmonics to readings round a ring: what is left
// at each station, and how much each station's own reading makes of its fit (leverage, 0 to 1).
type harmonicFit struct {
	left, leverage []float64
	sum            float64 // of left squared
}

// newHarmonicFit fits n harmonics beside the mean, as far as the stations can tell them apart.
//
// Source: projection on the left singular vectors of the design matrix (Björck, Numerical Methods
// for Least Squares Problems, 1996, section 1.2.5).
func newHarmonicFit(theta, value []float64, n int) harmonicFit {
	m := len(theta)
	f := harmonicFit{left: slices.Clone(value), leverage: make([]float64, m)}
	var svd mat.SVD
	if !svd.Factorize(dense.Harmonics(theta, n), mat.SVDThin) {
		return f
	}
	var u mat.Dense
	svd.UTo(&u)
	const told = 1e-9 // of a column's length: less is rounding
	for pass := range 2 {
		for c, size := range svd.Values(nil) {
			if size <= told*math.Sqrt(float64(m)) {
				continue
			}
			along := mat.Col(nil, c, &u)
			floats.AddScaled(f.left, -floats.Dot(along, f.left), along)
			for k := range along {
				f.leverage[k] += along[k] * along[k] * float64(pass)
			}
		}
	}
	f.sum = floats.Dot(f.left, f.left)
	return f
}

// scatter is the root mean square of what is left.
func (f *harmonicFit) scatter() float64 { return math.Sqrt(f.sum / float64(len(f.left))) }

// without says how far reading k lies from the fit to the others, the others' scatter about that
// fit, and the share of their scatter in how surely they foretell it (variance of the foretold
// reading for one of each other reading); ok is false when the others cannot foretell it.
//
// Source: Cook and Weisberg, Residuals and Influence in Regression, 1982, section 2.2 (deletion of
// one case).
func (f *harmonicFit) without(k int) (off, scatter, share float64, ok bool) {
	const foretold = 1e-9 // of a whole reading: less is rounding, and the reading alone says what is there
	free := 1 - f.leverage[k]
	if free < foretold {
		return 0, 0, 0, false
	}
	off = f.left[k] / free
	rest := max(f.sum-f.left[k]*off, 0)
	return off, math.Sqrt(rest / float64(len(f.left)-1)), f.leverage[k] / free, true
}
