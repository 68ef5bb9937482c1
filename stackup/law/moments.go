package law

import (
	"math"

	"example.com/borestack/internal/gauss"
	"example.com/borestack/internal/ieee"
)

// moments are those of what is left.
func (t *truncated) moments() Moments {
	n, normal := asNormal(t.law)
	switch {
	case t.lowest == t.highest:
		return Moments{Mean: t.lowest}
	case t.below == 0 && t.above == 0:
		return t.law.Moments()
	case normal:
		return n.momentsBetween(t.lowest, t.highest)
	}
	m := momentsOf(distribution{form: t, lowest: t.lowest, highest: t.highest})
	if math.IsInf(t.lowest, 0) || math.IsInf(t.highest, 0) { // the end that is left decides which moments there are
		whole := t.law.Moments()
		keep(&m.Mean, whole.Mean)
		keep(&m.Variance, whole.Variance)
		keep(&m.Skewness, whole.Skewness)
		keep(&m.ExcessKurtosis, whole.ExcessKurtosis)
	}
	return m
}

// keep replaces a number by another that is not finite.
func keep(v *float64, other float64) {
	if !ieee.Finite(other) {
		*v = other
	}
}

// momentsBetween returns the moments of the law between two limits, of which one at least is finite.
func (l normal) momentsBetween(lowest, highest float64) Moments {
	a, b := (lowest-l.mean)/l.sd, (highest-l.mean)/l.sd
	if a+b < 0 { // seen from the end with the longer tail
		m := truncatedNormal(-b, -a).scaled(highest, -l.sd)
		m.Skewness = -m.Skewness
		return m
	}
	return truncatedNormal(a, b).scaled(lowest, l.sd)
}

// momentsOf integrates powers of the quantile over the probability, p = Φ(z): E g(X) = ∫ g(Q(Φ(z))) φ(z) dz. Over z the ends, where quantile functions are steep, flatten out, and the trapezoid rule converges geometrically for smooth quantile functions. Shares too small for a float64, whose quantile would be infinite, are left out.
func momentsOf(l Law) Moments {
	const pitch, reach = 1.0 / 32, 36
	var x, w []float64
	for i := -reach / pitch; i <= reach/pitch; i++ {
		z := []float64{i * pitch}
		weight := density(z[0]) * pitch
		if FromNormals(l, z, z); !math.IsInf(z[0], 0) {
			x, w = append(x, z[0]), append(w, weight)
		}
	}
	return momentsOfPoints(x, w, x[0], 1)
}

// truncatedNormal returns the moments of Z − a for a standard normal Z between a and b, a + b ≥ 0.
//
// The closed forms in φ and Φ cancel for narrow and far intervals: the variance at a = 10⁴ is 10⁻⁸ from terms of 10⁸. The density is entire and of one sign, so Gauss–Legendre panels over the part that matters give every moment to rounding.
func truncatedNormal(a, b float64) Moments {
	// from where the density is exp(−40) of its greatest on
	from, to := a, b
	if a >= 0 {
		to = min(b, a+80/(a+math.Sqrt(a*a+80)))
	} else {
		const reach = 9
		from, to = max(a, -reach), min(b, reach)
	}
	const points, panels = 24, 12
	var u, w [points]float64
	gauss.Legendre(u[:], w[:], 0, 1)
	width, peak := (to-from)/panels, max(from, 0)
	var t, weights []float64 // from the lower end
	var mass float64
	for panel := range panels {
		for i := range u {
			d := (float64(panel) + u[i]) * width
			x := from + d
			weight := w[i] * width * math.Exp(-(x-peak)*(x+peak)/2)
			t, weights = append(t, d), append(weights, weight)
			mass += weight
		}
	}
	m := momentsOfPoints(t, weights, 0, mass)
	m.Mean += from - a
	return m
}

// scaled are the moments of origin + scale·X.
func (m Moments) scaled(origin, scale float64) Moments {
	m.Mean = origin + scale*m.Mean
	m.Variance *= scale * scale
	return m
}

// momentsOfPoints sums over values with weights whose sum is given, as deviations from a centre near them.
func momentsOfPoints(values, weights []float64, centre, sum float64) Moments {
	var mean float64
	for i, v := range values {
		mean += weights[i] * (v - centre)
	}
	mean /= sum
	var m2, m3, m4 float64
	for i, v := range values {
		d := v - centre - mean
		m2 += weights[i] * (d * d)
		m3 += weights[i] * (d * d * d)
		m4 += weights[i] * (d * d * d * d)
	}
	m2, m3, m4 = m2/sum, m3/sum, m4/sum
	m := Moments{Mean: centre + mean, Variance: m2}
	if m2 > 0 {
		m.Skewness, m.ExcessKurtosis = m3/math.Pow(m2, 1.5), m4/(m2*m2)-3
	}
	return m
}
