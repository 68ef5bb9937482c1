package batch

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"example.com/borestack/tolerance"
)

// coverage is that of the confidence regions and intervals that are given.
const coverage = 0.95

// regionRadius is the radius of the circle that has the area of the confidence region of a mean vector,
// whose variance is share of that of one piece, from sums of squares with so many degrees of freedom.
//
// Source: Hotelling's T², e.g. NIST/SEMATECH e-Handbook of Statistical Methods, 6.5.4.3 (from memory):
// T² ~ 2ν/(ν−1) F(2, ν−1).
func regionRadius(s matrix2, dof, share float64) float64 {
	if dof < 2 || share == 0 {
		return math.Inf(1)
	}
	return math.Sqrt(hotelling(coverage, dof) * share * math.Sqrt(max(s.det(), 0)) / dof)
}

// hotelling is the quantile of T² of two components.
func hotelling(p, dof float64) float64 {
	return 2 * dof / (dof - 1) * distuv.F{D1: 2, D2: dof - 1}.Quantile(p)
}

// principal are the variances along the axes of a scatter, the larger first, and the direction of the first.
func (m matrix2) principal() (large, small float64, along vector) {
	half, mid := (m.xx-m.yy)/2, (m.xx+m.yy)/2
	r := math.Hypot(half, m.xy)
	large = mid + r
	if large > 0 {
		small = m.det() / large
	}
	a := math.Atan2(m.xy, half) / 2
	return large, small, vector{math.Cos(a), math.Sin(a)}
}

// mixing says whether so many pieces are enough to ask whether they are of two kinds.
func mixing(n int) bool { return n >= 3*fewest }

// The draws that tell how long a scatter is along one line by chance alone.
const (
	lengthDraws = 4000
	lengthSeed  = 1
)

// longScatter is whether a scatter is longer along one line than chance makes it: the larger principal
// variance against a known one, or without it against the smaller.
//
// Source: the law of either by seeded draws of 2×2 Wishart matrices (Bartlett's decomposition, any text
// on multivariate analysis).
func (b *Batch) longScatter(s matrix2, dof int) (chance float64) {
	known := b.spread()
	measure := func(m matrix2, variance float64) float64 {
		large, small, _ := m.principal()
		if known > 0 {
			return large / variance
		}
		return large / max(small, math.SmallestNonzeroFloat64)
	}
	seen := measure(s, known*known)
	r := rand.New(rand.NewPCG(lengthSeed, uint64(dof)))
	first, second := distuv.ChiSquared{K: float64(dof), Src: r}, distuv.ChiSquared{K: float64(dof - 1), Src: r}
	as := 0
	for range lengthDraws {
		a, c := math.Sqrt(first.Rand()), r.NormFloat64()
		d := math.Sqrt(second.Rand())
		if measure(matrix2{a * a, c*c + d*d, a * c}, 1) >= seen {
			as++
		}
	}
	return (float64(as) + 1) / (lengthDraws + 1)
}

// twoKinds says whether the pieces' scatter is long along one line, and how far apart two halves of them
// would have to be for that.
//
// Source: hand calculation: two halves d apart add d²/4 to the variance along d.
func (b *Batch) twoKinds(left []vector, dof int, level float64) (Cause, bool) {
	s, _, _ := scatterAbout(left, ones(len(left)))
	chance := b.longScatter(s, dof)
	if chance > level {
		return Cause{}, false
	}
	large, small, along := s.principal()
	within := small / float64(dof)
	if known := b.spread(); known > 0 {
		within = known * known
	}
	apart := 2 * math.Sqrt(max(0, large/float64(dof)-within))
	return Cause{Kind: Mixed, Vector: along.scaled(apart).public(), Radius: tolerance.Length(math.Inf(1)), Chance: chance}, true
}

// quantile of sorted values, the lower of two neighbours.
func quantile(v []float64, p float64) float64 {
	s := slices.Sorted(slices.Values(v))
	return s[min(len(s)-1, int(p*float64(len(s))))]
}
