package conic

import "math"

// The second-order cone is {(t, v): |v| ≤ t}. Its elements are slices with t first. Source: L.
// Vandenberghe, 2010, section 4.

// det is t² - |v|², by (t - |v|)(t + |v|) so that it keeps its digits at the rim.
func det(s []float64) float64 {
	n := norm(s[1:])
	return (s[0] - n) * (s[0] + n)
}

func norm(v []float64) float64 {
	switch len(v) {
	case 1:
		return math.Abs(v[0])
	case 2:
		return math.Sqrt(v[0]*v[0] + v[1]*v[1])
	}
	var s float64
	for _, x := range v {
		s += x * x
	}
	return math.Sqrt(s)
}

func dot(a, b []float64) float64 {
	var s float64
	for i, v := range a {
		s += v * b[i]
	}
	return s
}

// scaling is the Nesterov-Todd scaling of one cone at (s, z): W = β(2 v vᵀ - J), W² = β²(2 w wᵀ -
// J), with W z = W⁻¹ s = λ.
type scaling struct {
	beta float64
	w, v []float64
}

// set computes the scaling at interior s and z.
func (c *scaling) set(s, z []float64) {
	ds, dz := math.Sqrt(det(s)), math.Sqrt(det(z))
	is, iz := 1/ds, 1/dz
	gamma := math.Sqrt((1 + dot(s, z)*is*iz) / 2)
	g := 1 / (2 * gamma)
	w := c.w
	w[0] = (s[0]*is + z[0]*iz) * g
	for i := 1; i < len(w); i++ {
		w[i] = (s[i]*is - z[i]*iz) * g
	}
	// w has determinant 1; restore it against rounding.
	w[0] = math.Sqrt(1 + dot(w[1:], w[1:]))
	k := 1 / math.Sqrt(2*(w[0]+1))
	for i, x := range w {
		c.v[i] = x * k
	}
	c.v[0] += k
	c.beta = math.Sqrt(ds * iz)
}

// mul sets dst = W x; dst may be x.
func (c *scaling) mul(dst, x []float64) {
	k := 2 * dot(c.v, x)
	dst[0] = c.beta * (k*c.v[0] - x[0])
	for i := 1; i < len(x); i++ {
		dst[i] = c.beta * (k*c.v[i] + x[i])
	}
}

// div sets dst = W⁻¹ x; dst may be x.
func (c *scaling) div(dst, x []float64) {
	k := 2 * (c.v[0]*x[0] - dot(c.v[1:], x[1:]))
	b := 1 / c.beta
	dst[0] = b * (k*c.v[0] - x[0])
	for i := 1; i < len(x); i++ {
		dst[i] = b * (x[i] - k*c.v[i])
	}
}

// product sets dst = a ∘ b = (a·b, a0 b1 + b0 a1); dst may be neither.
func product(dst, a, b []float64) {
	dst[0] = dot(a, b)
	for i := 1; i < len(a); i++ {
		dst[i] = a[0]*b[i] + b[0]*a[i]
	}
}

// divide sets dst = λ \ d, the solution of λ ∘ x = d; dst may be d.
func divide(dst, l, d []float64) {
	t := (l[0]*d[0] - dot(l[1:], d[1:])) / det(l)
	inv := 1 / l[0]
	for i := 1; i < len(d); i++ {
		dst[i] = (d[i] - t*l[i]) * inv
	}
	dst[0] = t
}

// reach is the greatest step a in (0, inf] with l + a d in the cone, for l inside it.
func reach(l, d []float64) float64 {
	// |l1 + a d1|² = (l0 + a d0)²: A a² + 2 B a + C = 0 with C > 0.
	a := det(d)
	b := l[0]*d[0] - dot(l[1:], d[1:])
	c := det(l)
	if b >= 0 && a >= 0 {
		return math.Inf(1)
	}
	// b² >= a c for every direction (the reversed Cauchy-Schwarz inequality), so a negative
	// discriminant is rounding: the line runs through the apex.
	q := math.Sqrt(math.Max(0, b*b-a*c))
	step := c / (q - b) // the smallest positive root, without cancellation
	if b >= 0 {
		step = -(b + q) / a
	}
	if !(step > 0) {
		return 0
	}
	return step
}
