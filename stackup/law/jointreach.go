package law

import "math"

// Points is a set of deviations: a row for each point, a number for each deviation.
type Points [][]float64

// Reach returns the sets that the least convex set of all deviations is the sum of: where no correlation is 1 or
// −1, one interval for each law, since all its values may come together with any of the others'; deviations of
// which each is a function of the others, by a correlation of 1 or −1, go along one curve, of 1,091 points, less
// than 1/64 of a standard normal number apart, or of its two ends when it is straight. It reports false when a
// law has no limits, and when the correlations are singular in another way, for which no such sets are known.
func (c *Copula) Reach() ([]Points, bool) {
	var out []Points
	done := make([]bool, len(c.laws))
	for i := range c.laws {
		if done[i] {
			continue
		}
		if row := c.row(i); row[i] == 0 { // depends on several before it
			return nil, false
		}
		along := make([]float64, len(c.laws)) // 1 or −1 for those that go with it
		for j := i; j < len(c.laws); j++ {
			if r := c.correlation(i, j); 1-math.Abs(r) <= roundedPivot*float64(len(c.laws)) {
				along[j], done[j] = math.Copysign(1, r), true
			}
		}
		points, bounded := c.curve(along)
		if !bounded {
			return nil, false
		}
		out = append(out, points)
	}
	return out, true
}

// curve are the values that laws take together, those with a −1 against those with a 1; the others stay at 0.
func (c *Copula) curve(along []float64) (Points, bool) {
	const perUnit, end = 64, 8.5
	const inner = 2*end*perUnit + 1
	z, x := make([]float64, inner), make([]float64, inner)
	out := make(Points, inner+2)
	for k := range out {
		out[k] = make([]float64, len(along))
	}
	for i, sign := range along {
		if sign == 0 {
			continue
		}
		from, to := c.laws[i].Support()
		if math.IsInf(from, 0) || math.IsInf(to, 0) {
			return nil, false
		}
		if sign < 0 {
			from, to = to, from
		}
		for k := range z {
			z[k] = sign * (float64(k)/perUnit - end)
		}
		FromNormals(c.laws[i], x, z)
		out[0][i], out[inner+1][i] = from, to
		for k, v := range x {
			out[k+1][i] = v
		}
	}
	if out.straight() {
		return Points{out[0], out[inner+1]}, true
	}
	return out, true
}

// straight reports whether all points are on the way from the first to the last, but for rounding.
func (p Points) straight() bool {
	const rounding = 1e-12
	first, last := p[0], p[len(p)-1]
	var size, length float64
	for i := range first {
		length += (last[i] - first[i]) * (last[i] - first[i])
		size = math.Max(size, math.Max(math.Abs(first[i]), math.Abs(last[i])))
	}
	if length == 0 {
		return true
	}
	for _, v := range p {
		var t float64
		for i := range v {
			t += (v[i] - first[i]) * (last[i] - first[i]) / length
		}
		for i := range v {
			if math.Abs(first[i]+t*(last[i]-first[i])-v[i]) > rounding*size {
				return false
			}
		}
	}
	return true
}

// Reach returns the sets that the set of all deviations is the sum of: for each source, the way along its gains
// from its least to its greatest value. It reports false when a source that moves a deviation has no limits.
func (c *Shared) Reach() ([]Points, bool) {
	var out []Points
	for k, l := range c.sources {
		from, to := l.Support()
		ends := Points{make([]float64, len(c.gains)), make([]float64, len(c.gains))}
		moves := false
		for i, row := range c.gains {
			if g := row[k]; g != 0 {
				moves = true
				ends[0][i], ends[1][i] = g*from, g*to
			}
		}
		if moves && (math.IsInf(from, 0) || math.IsInf(to, 0)) {
			return nil, false
		}
		if moves {
			out = append(out, ends)
		}
	}
	return out, true
}
