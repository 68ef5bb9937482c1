package law

import "math"

// Inverse sets dst[i] to the value of a law at the probability u[i], for numbers that are spread more evenly than at random: sequences, strata, the copula. The upper half goes through the upper quantile, so that both tails keep their digits. dst and u may be the same slice; it panics if dst is shorter than u.
func Inverse(l Law, dst, u []float64) {
	dst = dst[:len(u)]
	for i, p := range u {
		dst[i] = at(l, p, 1-p)
	}
}

// at returns the value with p below and q = 1 − p above.
func at(l Law, p, q float64) float64 {
	if p > 0.5 {
		return l.UpperQuantile(q)
	}
	return l.Quantile(p)
}

// FromNormals sets dst[i] to the value of a law at the probability that a standard normal number z[i] is the quantile of. dst and z may be the same slice; it panics if dst is shorter than z.
func FromNormals(l Law, dst, z []float64) {
	dst = dst[:len(z)]
	switch l := l.(type) {
	case Normal:
		for i, z := range z {
			dst[i] = float64(l.sd*z) + l.mean
		}
	case LogNormal:
		for i, z := range z {
			dst[i] = l.at(z)
		}
	default:
		for i, z := range z {
			if tail := math.Erfc(math.Abs(z)/math.Sqrt2) / 2; z > 0 {
				dst[i] = l.UpperQuantile(tail)
			} else {
				dst[i] = l.Quantile(tail)
			}
		}
	}
}
