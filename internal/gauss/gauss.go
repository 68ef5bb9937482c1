// Package gauss gives the nodes and weights of Gauss quadrature. It works them out: tables of them weigh more than all that uses them, and a page in the browser carries what it links.
package gauss

import "math"

// steps is how often a node is bettered at most: from the first guesses below Newton's method is at rounding after five or six.
const steps = 20

// Legendre fills x and w, which are equally long, with the nodes, falling, and weights for integrals over an interval.
//
// Source: Abramowitz and Stegun, Handbook of Mathematical Functions (1964), 25.4.30 (weights), 22.7.10 (recurrence), 22.16.6 (first guess).
func Legendre(x, w []float64, from, to float64) {
	n := len(x)
	mid, half := (from+to)/2, (to-from)/2
	for k := range (n + 1) / 2 {
		z := math.Cos(math.Pi * (float64(k) + 0.75) / (float64(n) + 0.5))
		slope, last := 0.0, math.Inf(1)
		for range steps {
			before, p := 1.0, z
			for j := 2; j <= n; j++ {
				before, p = p, (float64(2*j-1)*z*p-float64(j-1)*before)/float64(j)
			}
			slope = float64(n) * (z*p - before) / (z*z - 1)
			step := p / slope
			if z -= step; settled(step, &last) {
				break
			}
		}
		if n%2 == 1 && k == n/2 {
			z = 0
		}
		x[k], x[n-1-k] = mid+half*z, mid-half*z
		w[k] = half * 2 / ((1 - z*z) * slope * slope)
		w[n-1-k] = w[k]
	}
}

// rounding is far above the rounding of a node and far below a step that is not the last but one or two.
const rounding = 1e-10

// settled reports whether Newton's method is at rounding: its step is small and shrinks no more.
func settled(step float64, last *float64) bool {
	now := math.Abs(step)
	done := now == 0 || now < rounding && now >= *last/2
	*last = now
	return done
}
