package record

import "math"

// harmonicFit is the least-squares fit of mean and harmonics to readings round a ring: what is left
// at each station, and how much each station's own reading makes of its fit (leverage, 0 to 1).
type harmonicFit struct {
	left, leverage []float64
	sum            float64 // of left squared
}

// newHarmonicFit fits n harmonics beside the mean. Columns that the stations cannot tell from those
// before are left out.
//
// Source: modified Gram-Schmidt, twice (Björck, Numerical Methods for Least Squares Problems, 1996,
// section 2.4).
func newHarmonicFit(theta, value []float64, n int) harmonicFit {
	m := len(theta)
	f := harmonicFit{left: append([]float64(nil), value...), leverage: make([]float64, m)}
	var basis [][]float64
	for c := range 2*n + 1 {
		col := make([]float64, m)
		for k, a := range theta {
			s, cs := math.Sincos(float64((c+1)/2) * a)
			col[k] = cs
			if c > 0 && c%2 == 0 {
				col[k] = s
			}
		}
		for range 2 {
			for _, q := range basis {
				project(col, q)
			}
		}
		const told = 1e-9 // of a column's length: less is rounding
		size := math.Sqrt(dot(col, col))
		if size <= told*math.Sqrt(float64(m)) {
			continue
		}
		for k := range col {
			col[k] /= size
			f.leverage[k] += col[k] * col[k]
		}
		basis = append(basis, col)
	}
	for range 2 {
		for _, q := range basis {
			project(f.left, q)
		}
	}
	f.sum = dot(f.left, f.left)
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

// project takes out of v what lies along the unit vector q.
func project(v, q []float64) {
	d := dot(v, q)
	for k := range v {
		v[k] -= d * q[k]
	}
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for k := range a {
		sum += a[k] * b[k]
	}
	return sum
}
