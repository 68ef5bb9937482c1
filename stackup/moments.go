package stackup

import (
	"math"
	"slices"
)

// moments are the count, mean and sums of powers about the mean of some samples.
type moments struct {
	N               float64
	Mean            float64
	S2, S3, S4      float64
	Least, Most     float64
	LeastAt, MostAt uint64 // sample indices
}

// momentsOf sums up a column. Values that are not finite are left out. Where the extremes are is for [moments.locate].
func momentsOf(y []float64) moments {
	sum := sumOf(y)
	if sum-sum != 0 {
		if finite := slices.DeleteFunc(slices.Clone(y), func(v float64) bool { return v-v != 0 }); len(finite) < len(y) {
			return momentsOf(finite)
		}
	}
	m := moments{Least: math.Inf(1), Most: math.Inf(-1)}
	if len(y) == 0 {
		return m
	}
	m.N = float64(len(y))
	m.Mean = sum / m.N
	m.S2, m.S3, m.S4 = powers(y, m.Mean)
	m.Least, m.Most = extremes(y)
	return m
}

// locate finds the first samples with the extremes of a column whose first sample has index at, if they pass those of the samples before.
func (a *moments) locate(y []float64, at uint64, before *moments) {
	if a.Least < before.Least {
		a.LeastAt = at + uint64(slices.Index(y, a.Least))
	}
	if a.Most > before.Most {
		a.MostAt = at + uint64(slices.Index(y, a.Most))
	}
}

// sumOf adds even and odd values apart, so that an addition need not wait for the one before.
func sumOf(y []float64) float64 {
	var even, odd float64
	for i := 1; i < len(y); i += 2 {
		even += y[i-1]
		odd += y[i]
	}
	if len(y)%2 == 1 {
		even += y[len(y)-1]
	}
	return even + odd
}

// powers are the sums of the squares, cubes and fourth powers about the mean.
func powers(y []float64, mean float64) (s2, s3, s4 float64) {
	for _, v := range y {
		d := v - mean
		d2 := d * d
		s2 += d2
		s3 += float64(d2 * d)
		s4 += float64(d2 * d2)
	}
	return s2, s3, s4
}

// extremes are the least and the greatest of some finite values. Read as integers, negative ones turned round, IEEE 754 numbers keep their order, and integers are compared without a jump.
func extremes(y []float64) (least, most float64) {
	order := func(bits int64) int64 { return bits ^ int64(uint64(bits>>63)>>1) } // its own inverse
	lo, hi := int64(math.MaxInt64), int64(math.MinInt64)
	for _, v := range y {
		k := order(int64(math.Float64bits(v)))
		lo, hi = min(lo, k), max(hi, k)
	}
	return math.Float64frombits(uint64(order(lo))), math.Float64frombits(uint64(order(hi)))
}

// join adds b, whose samples come after a's.
//
// Source: Pébay, Formulas for robust, one-pass parallel computation of covariances and arbitrary-order statistical moments, SAND2008-6212, equations 2.1, 3.1.
func (a moments) join(b moments) moments {
	if b.N == 0 {
		return a
	}
	if a.N == 0 {
		return b
	}
	n := a.N + b.N
	d := b.Mean - a.Mean
	dn := d / n
	ab := a.N * b.N
	out := moments{
		N:     n,
		Mean:  a.Mean + b.N*dn,
		S2:    a.S2 + b.S2 + d*dn*ab,
		Least: a.Least, LeastAt: a.LeastAt, Most: a.Most, MostAt: a.MostAt,
	}
	out.S3 = a.S3 + b.S3 + d*dn*dn*ab*(a.N-b.N) + 3*dn*(a.N*b.S2-b.N*a.S2)
	out.S4 = a.S4 + b.S4 + d*dn*dn*dn*ab*(a.N*a.N-ab+b.N*b.N) + 6*dn*dn*(a.N*a.N*b.S2+b.N*b.N*a.S2) + 4*dn*(a.N*b.S3-b.N*a.S3)
	if b.Least < out.Least {
		out.Least, out.LeastAt = b.Least, b.LeastAt
	}
	if b.Most > out.Most {
		out.Most, out.MostAt = b.Most, b.MostAt
	}
	return out
}

// variance is the sample variance; 0 for fewer than two samples.
func (a moments) variance() float64 {
	if a.N < 2 {
		return 0
	}
	return a.S2 / (a.N - 1)
}

// sdError is the standard error of the sample standard deviation: var(s²) = (μ4 − σ⁴(n−3)/(n−1))/n, over 2s.
//
// Source: Kendall and Stuart, The Advanced Theory of Statistics, volume 1, section 10.9 (from memory).
func (a moments) sdError() float64 {
	v := a.variance()
	if a.N < 4 || v == 0 {
		return 0
	}
	m4 := a.S4 / a.N
	return math.Sqrt(math.Max(m4-v*v*(a.N-3)/(a.N-1), 0)/a.N) / (2 * math.Sqrt(v))
}
