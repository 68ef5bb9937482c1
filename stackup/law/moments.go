package law

import "math"

// integrate returns the moments of a truncated law.
func (t *Truncated) integrate() Moments {
	n, normal := t.law.(Normal)
	switch {
	case t.lowest == t.highest:
		return Moments{Mean: t.lowest}
	case t.below == 0 && t.above == 0:
		return t.law.Moments()
	case normal:
		return n.momentsBetween(t.lowest, t.highest)
	}
	m := momentsOf(t)
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
	if math.IsNaN(other) || math.IsInf(other, 0) {
		*v = other
	}
}

// momentsBetween returns the moments of the law between two limits, of which one at least is finite.
func (l Normal) momentsBetween(lowest, highest float64) Moments {
	a, b := (lowest-l.mean)/l.sd, (highest-l.mean)/l.sd
	var m Moments
	if a+b < 0 { // seen from the end with the longer tail
		m = truncatedNormal(-b, -a)
		m.Mean, m.Skewness = highest-l.sd*m.Mean, -m.Skewness
	} else {
		m = truncatedNormal(a, b)
		m.Mean = lowest + l.sd*m.Mean
	}
	m.Variance *= l.sd * l.sd
	return m
}

// momentsOf integrates powers of the quantile over the probability, p = Φ(z): E g(X) = ∫ g(Q(Φ(z))) φ(z) dz. Over z the ends, where quantile functions are steep, flatten out, and the trapezoid rule converges geometrically for smooth quantile functions.
func momentsOf(l Law) Moments {
	const pitch, reach = 1.0 / 32, 36
	const n = reach / pitch
	x, w := make([]float64, 2*n+1), make([]float64, 2*n+1)
	for i := range x {
		x[i] = float64(i-n) * pitch
		w[i] = density(x[i]) * pitch
	}
	FromNormals(l, x, x)
	return momentsOfPoints(x, w)
}
