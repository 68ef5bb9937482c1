package batch

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/spatial/r2"
)

// matrix2 is a symmetric 2×2 matrix of sums of squares and products.
type matrix2 struct{ xx, yy, xy float64 }

func (m matrix2) det() float64 { return m.xx*m.yy - m.xy*m.xy }

// given is the share of a regressor, beside the others, below which they already give it.
const given = 1e-9

// scatterAbout are the sums of squares of vectors about what regressors explain, and how many degrees of
// freedom those take. A regressor that the others already give is left out.
func scatterAbout(v []r2.Vec, regressors ...[]float64) (s matrix2, fit []r2.Vec, rank int) {
	n := len(v)
	left := slices.Clone(v)
	var basis [][]float64
	for _, r := range regressors {
		q := slices.Clone(r)
		for range 2 { // Gram and Schmidt, twice: as good as a rotation
			for _, b := range basis {
				floats.AddScaled(q, -floats.Dot(q, b), b)
			}
		}
		if l := floats.Norm(q, 2); l > given*floats.Norm(r, 2) {
			floats.Scale(1/l, q)
			basis = append(basis, q)
		}
	}
	for _, b := range basis {
		var c r2.Vec
		for i := range left {
			c = r2.Add(c, r2.Scale(b[i], left[i]))
		}
		for i := range left {
			left[i] = r2.Sub(left[i], r2.Scale(b[i], c))
		}
	}
	fit = make([]r2.Vec, n)
	for i := range left {
		fit[i] = r2.Sub(v[i], left[i])
		s.xx += left[i].X * left[i].X
		s.yy += left[i].Y * left[i].Y
		s.xy += left[i].X * left[i].Y
	}
	return s, fit, len(basis)
}

// rounding is what a sum of squares, or a determinant beside its square, can be by rounding alone.
const rounding = 1e-20

// chanceOf is ln of the probability that pure scatter explains as much as extra regressors do beside the given
// ones: of a known standard deviation of each component, or for vectors of any one covariance where it is 0.
//
// Source: the χ² law of a sum of squares, any text on statistics; the exact law of Wilks' Λ for two
// responses, e.g. K. V. Mardia, J. T. Kent and J. M. Bibby, Multivariate Analysis (1979), 3.7.3 (from
// memory): (1−√Λ)/√Λ · (ν−1)/h ~ F(2h, 2(ν−1)), which makes √Λ a beta law with ν−1 and h.
func chanceOf(v []r2.Vec, given, extra [][]float64, known float64) float64 {
	before, _, r0 := scatterAbout(v, given...)
	after, _, r1 := scatterAbout(v, append(given[:len(given):len(given)], extra...)...)
	h, nu := float64(r1-r0), float64(len(v)-r1)
	all, rest := before.xx+before.yy, after.xx+after.yy
	gain := max(0, all-rest) // by rounding a little may be left over
	switch {
	case h == 0 || nu < 2:
		return 0
	case known > 0:
		return upperGamma(h, gain/(2*known*known))
	case all == 0:
		return 0 // no scatter at all: nothing to explain
	case rest <= rounding*all:
		return math.Inf(-1) // all of it explained
	case before.det() <= rounding*all*all || after.det() <= rounding*rest*rest:
		// On one line: one response, and the law of its ratio of variances.
		return lowerBeta(nu/2, h/2, min(1, rest/all))
	}
	return lowerBeta(nu-1, h, min(1, math.Sqrt(after.det()/before.det())))
}

// What a float64 still holds of a chance, and the most that a sum of squares is counted for.
const (
	faint = 1e-300
	most  = 1e300
)

// upperGamma is ln of the chance that a gamma law with shape a passes x, and lowerBeta that one of a beta law with
// a and b stays below x: questions are compared by them where they are plain to see, and one less 1 − 10⁻¹⁶ is as
// good as another. Of chances too small for a float64 it is the leading term.
//
// Source: NIST Digital Library of Mathematical Functions, 8.11.2 and 8.17.7 (from memory).
func upperGamma(a, x float64) float64 {
	x = min(x, most)
	if q := mathext.GammaIncRegComp(a, x); q > faint {
		return math.Log(q)
	}
	whole, _ := math.Lgamma(a)
	return (a-1)*math.Log(x) - x - whole
}

func lowerBeta(a, b, x float64) float64 {
	if q := mathext.RegIncBeta(a, b, x); q > faint {
		return math.Log(q)
	}
	return a*math.Log(x) + (b-1)*math.Log1p(-x) - math.Log(a) - mathext.Lbeta(a, b)
}

// ones is the regressor of a constant.
func ones(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = 1
	}
	return out
}
