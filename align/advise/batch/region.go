package batch

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/stat/distuv"

	"example.com/borestack/tolerance"
)

// coverage is that of the confidence regions and intervals that are given.
const coverage = 0.95

// regionRadius is the radius of the circle about the confidence region of a mean vector, an ellipse, whose
// variance is share of that of one piece, from sums of squares with so many degrees of freedom. A circle of
// the ellipse's area would hold the mean in two of three batches where they scatter ten times as far one way.
//
// Source: Hotelling's T², e.g. NIST/SEMATECH e-Handbook of Statistical Methods, 6.5.4.3 (from memory):
// T² ~ 2ν/(ν−1) F(2, ν−1).
func regionRadius(s matrix2, dof, share float64) float64 {
	if dof < 2 || share == 0 {
		return math.Inf(1)
	}
	square := 2 * dof / (dof - 1) * distuv.F{D1: 2, D2: dof - 1}.Quantile(coverage)
	large, _, _ := s.principal()
	return math.Sqrt(square * share * large / dof)
}

// principal are the variances along the axes of a scatter, the larger first, and the direction of the first.
func (m matrix2) principal() (large, small float64, along r2.Vec) {
	half, mid := (m.xx-m.yy)/2, (m.xx+m.yy)/2
	r := math.Hypot(half, m.xy)
	large = mid + r
	if large > 0 {
		small = m.det() / large
	}
	a := math.Atan2(m.xy, half) / 2
	return large, small, r2.Vec{X: math.Cos(a), Y: math.Sin(a)}
}

// longScatter is ln of the chance that a scatter is as long along one line: its larger principal variance against
// a known one, or without it against the smaller. Parts on one line say nothing: they were measured along it.
//
// Source: hand calculation from the joint density of the roots of a 2×2 Wishart matrix with ν degrees of
// freedom, (l₁l₂)^((ν−3)/2) e^(−(l₁+l₂)/2) (l₁−l₂): the larger by parts twice; of the ratio
// P(2√(l₁l₂)/(l₁+l₂) ≤ w) = w^(ν−1), which is J. W. Mauchly's test, Annals of Mathematical Statistics 11
// (1940), for two components.
func longScatter(s matrix2, dof int, known float64) float64 {
	nu := float64(dof)
	if known == 0 {
		w := 4 * s.det() / math.Pow(s.xx+s.yy, 2)
		if !(w > rounding) {
			return 0
		}
		return math.Log(w) * (nu - 1) / 2
	}
	large, _, _ := s.principal()
	x, half := min(large/known/known, most), (nu-1)/2
	all, _ := math.Lgamma(nu - 1)
	part, _ := math.Lgamma(half)
	more, less := upperGamma(nu-1, x), half*math.Log(x)-x/2+half*math.Ln2+part-math.Ln2-all+math.Log(mathext.GammaIncReg(half, x/2))
	return max(more, less) + math.Log1p(math.Exp(-math.Abs(more-less)))
}

// within is the variance of one kind of parts along a scatter's longer line.
func within(small float64, dof int, known float64) float64 {
	if known == 0 {
		return small / float64(dof)
	}
	return known * known
}

// oneKind are vectors with what two kinds lie apart taken out of their scatter.
func oneKind(v []r2.Vec, dof int, known float64) []r2.Vec {
	s, _, _ := scatterAbout(v, ones(len(v)))
	large, small, along := s.principal()
	less, m := 1-math.Sqrt(min(1, within(small, dof, known)*float64(dof)/large)), mean(v)
	out := make([]r2.Vec, len(v))
	for i := range v {
		out[i] = r2.Sub(v[i], r2.Scale(less*r2.Dot(r2.Sub(v[i], m), along), along))
	}
	return out
}

// twoKinds are two kinds of pieces, half each, as far apart as would make their scatter as long along one
// line.
//
// Source: hand calculation: two halves d apart add d²/4 to the variance along d.
func twoKinds(v []r2.Vec, dof int, known float64) Cause {
	s, _, _ := scatterAbout(v, ones(len(v)))
	large, small, along := s.principal()
	apart := 2 * math.Sqrt(max(0, large/float64(dof)-within(small, dof, known)))
	return Cause{Kind: Mixed, Vector: public(r2.Scale(apart, along)), Radius: tolerance.Length(math.Inf(1))}
}

// quantile of sorted values, the lower of two neighbours.
func quantile(v []float64, p float64) float64 {
	s := slices.Sorted(slices.Values(v))
	return s[min(len(s)-1, int(p*float64(len(s))))]
}
