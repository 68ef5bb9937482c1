// Package num holds the small statistics that the rooms of stackup share: intervals, errors from leaving out a
// group, and sums. It knows no study.
package num

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"

	"example.com/borestack/stackup/law"
)

// Level is the confidence of every interval.
const Level = 0.95

// normalFrom is the number of degrees of freedom from which Student's t is taken as normal: the factors differ by
// less than 3e-6 there.
const normalFrom = 1e6

// Coverage is the factor from a standard error to half a 95 % interval: Student's t with that many degrees of
// freedom, normal for +Inf.
func Coverage(dof float64) float64 {
	if dof < normalFrom {
		if t, err := law.NewStudent(0, 1, math.Max(dof, 1)); err == nil {
			return t.UpperQuantile((1 - Level) / 2)
		}
	}
	return -law.StandardQuantile((1 - Level) / 2)
}

// Jackknife is the standard error from estimates that leave out one group each.
//
// Source: Efron and Stein, The jackknife estimate of variance, Ann. Stat. 9 (1981).
func Jackknife(v []float64) float64 {
	n := float64(len(v))
	_, squares := about(v)
	return math.Sqrt(squares * (n - 1) / n)
}

// Scatter is the mean of independent results, and its standard error.
func Scatter(v []float64) (mean, standardError float64) {
	n := float64(len(v))
	mean, squares := about(v)
	return mean, math.Sqrt(squares / n / (n - 1))
}

// about is the mean, and the sum of squares about it.
func about(v []float64) (mean, squares float64) {
	n := float64(len(v))
	for _, u := range v {
		mean += u / n
	}
	for _, u := range v {
		squares += (u - mean) * (u - mean)
	}
	return mean, squares
}

// BinomialInterval is the exact two-sided 95 % interval of a share from k of n.
//
// Source: Clopper and Pearson, The use of confidence or fiducial limits illustrated in the case of the binomial,
// Biometrika 26 (1934); as quantiles of beta laws.
func BinomialInterval(k, n int) [2]float64 {
	level := Level
	a := (1 - level) / 2
	out := [2]float64{0, 1}
	if k > 0 {
		out[0] = mathext.InvRegIncBeta(float64(k), float64(n-k+1), a)
	}
	if k < n {
		out[1] = mathext.InvRegIncBeta(float64(k+1), float64(n-k), 1-a)
	}
	return out
}

// BinomialAtMost is the chance of at most k of n.
func BinomialAtMost(k, n int, p float64) float64 {
	if k >= n {
		return 1
	}
	return mathext.RegIncBeta(float64(n-k), float64(k+1), 1-p)
}

// BinomialRange are the counts between which 95 % of samples lie when a share p is expected: at most 2.5 % lie
// below the first, at most 2.5 % above the second.
func BinomialRange(n int, p float64) (low, high float64) {
	least := func(share float64) int { // with at least that share at most it
		a, b := 0, n
		for a < b {
			if m := (a + b) / 2; BinomialAtMost(m, n, p) >= share {
				b = m
			} else {
				a = m + 1
			}
		}
		return a
	}
	return float64(least((1 - Level) / 2)), float64(least((1 + Level) / 2))
}

// Columns are n columns of so many rows, in one piece of memory.
func Columns(n, rows int) [][]float64 {
	all := make([]float64, n*rows)
	out := make([][]float64, n)
	for i := range out {
		out[i] = all[i*rows : (i+1)*rows : (i+1)*rows]
	}
	return out
}

// Quantile interpolates between the order statistics at p(n + 1).
//
// Source: Hyndman and Fan, Sample quantiles in statistical packages, Am. Stat. 50 (1996), definition 6.
func Quantile(scratch, y []float64, p float64) float64 {
	s := scratch[:copy(scratch, y)]
	slices.Sort(s)
	return SortedQuantile(s, p)
}

// SortedQuantile is Quantile of ascending values.
func SortedQuantile(s []float64, p float64) float64 {
	at := p*float64(len(s)+1) - 1
	k := int(math.Floor(at))
	switch {
	case k < 0:
		return s[0]
	case k >= len(s)-1:
		return s[len(s)-1]
	case s[k] == s[k+1]:
		return s[k]
	}
	return s[k] + (at-float64(k))*(s[k+1]-s[k])
}
