package stackup

import "math"

// moments are the count, mean and sums of powers about the mean of some samples.
type moments struct {
	N               float64
	Mean            float64
	S2, S3, S4      float64
	Least, Most     float64
	LeastAt, MostAt uint64 // sample indices
}

// momentsOf sums up a column; its first sample has index at. Values that are not finite are left out.
func momentsOf(y []float64, at uint64) moments {
	m := moments{Least: math.Inf(1), Most: math.Inf(-1)}
	var sum float64
	for i, v := range y {
		if v-v != 0 { // not finite
			continue
		}
		m.N++
		sum += v
		if v < m.Least {
			m.Least, m.LeastAt = v, at+uint64(i)
		}
		if v > m.Most {
			m.Most, m.MostAt = v, at+uint64(i)
		}
	}
	if m.N == 0 {
		return m
	}
	m.Mean = sum / m.N
	for _, v := range y {
		d := v - m.Mean
		if d-d != 0 {
			continue
		}
		d2 := d * d
		m.S2 += d2
		m.S3 += d2 * d
		m.S4 += d2 * d2
	}
	return m
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
