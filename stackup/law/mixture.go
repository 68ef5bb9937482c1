package law

import "math"

// mixture is made of others, each applying to a share of the parts.
type mixture struct {
	laws   []Law
	shares []float64
	pick   Law // the index of a law
}

// NewMixture returns the distribution that follows each of some laws with a probability proportional to its weight:
// two machines, two shifts, two suppliers. It returns a [fault.FieldError] unless there are as many weights as laws,
// and weights are ≥ 0 with a finite sum > 0.
func NewMixture(laws []Law, weights []float64) (Law, error) {
	const name = "mixture"
	total, err := sumOfWeights(name, "law", len(laws), weights)
	if err != nil {
		return nil, err
	}
	m := &mixture{}
	var index []float64
	for i, w := range weights {
		if err := check(name, must(!isNil(laws[i]), "law", float64(i), "a law for every weight, not nil")); err != nil {
			return nil, err
		}
		if w > 0 {
			index = append(index, float64(len(m.laws)))
			m.laws = append(m.laws, laws[i])
			m.shares = append(m.shares, w/total)
		}
	}
	lowest, highest := m.span(Law.Support)
	m.pick, err = NewDiscrete(index, m.shares)
	return distribution{m, lowest, highest, m.moments()}, err
}

func (m *mixture) tail(x float64, above bool) (sum float64) {
	for i, l := range m.laws {
		if above {
			sum += m.shares[i] * l.Survival(x)
		} else {
			sum += m.shares[i] * l.CDF(x)
		}
	}
	return min(sum, 1)
}

// quantile lies between the quantiles of the laws.
func (m *mixture) quantile(p float64, above bool) float64 {
	low, high := m.span(func(l Law) (from, to float64) {
		v := l.Quantile(p)
		if above {
			v = l.UpperQuantile(p)
		}
		return v, v
	})
	return leastWhere(low, high, func(x float64) bool {
		t := m.tail(x, above)
		return above && t <= p || !above && t >= p
	})
}

// span returns the least and the greatest of a figure of the laws.
func (m *mixture) span(of func(Law) (from, to float64)) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, l := range m.laws {
		from, to := of(l)
		low, high = min(low, from), max(high, to)
	}
	return low, high
}

// moments are those of the mixture from those of its laws.
func (m *mixture) moments() Moments {
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

// Draw fills dst with the next values of a stream: first which law each value follows, then the values in order.
func (m *mixture) Draw(dst []float64, s *Stream) {
	m.pick.Draw(dst, s)
	for i := range dst {
		m.laws[int(dst[i])].Draw(dst[i:i+1], s)
	}
}
