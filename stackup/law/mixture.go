package law

import "math"

// Mixture is a law made of others, each applying to a share of the parts: two machines, two shifts, two suppliers.
type Mixture struct {
	laws   []Law
	shares []float64
	pick   *Discrete // the index of a law
}

// NewMixture returns the law that follows each of some laws with a probability proportional to its weight. It returns a [ParameterError] unless there are as many weights as laws, and weights are ≥ 0 with a finite sum > 0.
func NewMixture(laws []Law, weights []float64) (*Mixture, error) {
	const name = "mixture"
	if len(laws) != len(weights) || len(laws) == 0 {
		return nil, &ParameterError{name, "number of weights", float64(len(weights)), "one for each law, and at least one"}
	}
	total, err := sumOfWeights(name, weights)
	if err != nil {
		return nil, err
	}
	m := &Mixture{}
	var index []float64
	for i, w := range weights {
		switch {
		case isNil(laws[i]):
			return nil, &ParameterError{name, "law", float64(i), "a law for every weight, not nil"}
		case w > 0:
			index = append(index, float64(len(m.laws)))
			m.laws = append(m.laws, laws[i])
			m.shares = append(m.shares, w/total)
		}
	}
	m.pick, err = NewDiscrete(index, m.shares)
	return m, err
}

// CDF returns P(X ≤ x).
func (m *Mixture) CDF(x float64) float64 {
	var p float64
	for i, l := range m.laws {
		p += m.shares[i] * l.CDF(x)
	}
	return min(p, 1)
}

// Survival returns P(X > x).
func (m *Mixture) Survival(x float64) float64 {
	var q float64
	for i, l := range m.laws {
		q += m.shares[i] * l.Survival(x)
	}
	return min(q, 1)
}

// Quantile returns the least x that a share p does not exceed. It lies between the quantiles of the laws.
func (m *Mixture) Quantile(p float64) float64 {
	if !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	low, high := m.span(func(l Law) float64 { return l.Quantile(p) })
	if p == 0 {
		return low
	} else if p == 1 {
		return high
	}
	return leastWhere(low, high, func(x float64) bool { return m.CDF(x) >= p })
}

// UpperQuantile returns the least x that at most a share q exceeds.
func (m *Mixture) UpperQuantile(q float64) float64 {
	if !(q >= 0 && q <= 1) {
		return math.NaN()
	}
	low, high := m.span(func(l Law) float64 { return l.UpperQuantile(q) })
	if q == 0 {
		return high
	} else if q == 1 {
		return low
	}
	return leastWhere(low, high, func(x float64) bool { return m.Survival(x) <= q })
}

// span returns the least and the greatest of a figure of the laws.
func (m *Mixture) span(of func(Law) float64) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, l := range m.laws {
		x := of(l)
		low, high = min(low, x), max(high, x)
	}
	return low, high
}

// Moments returns those of the mixture from those of its laws.
func (m *Mixture) Moments() Moments {
	var mean float64
	parts := make([]Moments, len(m.laws))
	for i, l := range m.laws {
		parts[i] = l.Moments()
		mean += m.shares[i] * parts[i].Mean
	}
	var m2, m3, m4 float64
	for i, p := range parts {
		d, w, v := p.Mean-mean, m.shares[i], p.Variance
		third, fourth := p.Skewness*v*math.Sqrt(v), (p.ExcessKurtosis+3)*v*v
		m2 += w * (v + d*d)
		m3 += w * (third + 3*v*d + d*d*d)
		m4 += w * (fourth + 4*third*d + 6*v*d*d + d*d*d*d)
	}
	out := Moments{Mean: mean, Variance: m2}
	if m2 > 0 || math.IsNaN(m2) {
		out.Skewness, out.ExcessKurtosis = m3/math.Pow(m2, 1.5), m4/(m2*m2)-3
	}
	return out
}

// Support returns the least and the greatest value of any of the laws.
func (m *Mixture) Support() (lowest, highest float64) {
	lowest, highest = math.Inf(1), math.Inf(-1)
	for _, l := range m.laws {
		from, to := l.Support()
		lowest, highest = min(lowest, from), max(highest, to)
	}
	return lowest, highest
}

// Draw fills dst with the next values of a stream: first which law each value follows, then the values in order.
func (m *Mixture) Draw(dst []float64, s *Stream) {
	m.pick.Draw(dst, s)
	for i := range dst {
		m.laws[int(dst[i])].Draw(dst[i:i+1], s)
	}
}
