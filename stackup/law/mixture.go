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

// truncated is another law between limits.
type truncated struct {
	law             Law
	lowest, highest float64
	before          float64 // the greatest value left out below
	below, above    float64 // the shares cut off
	kept            float64
}

// Truncate returns a law between two limits, which are kept and each of which may be infinite: values outside are left
// out, not moved to the limits. Its moments are to rounding for a normal law, by quadrature over the quantiles for
// others. It returns a [fault.FieldError] when the limits are not in order or leave nothing of the law. Equal limits
// within the support leave a constant.
func Truncate(l Law, lowest, highest float64) (Law, error) {
	const name = "truncated"
	if err := check(name, must(!isNil(l), "law", math.NaN(), "a law, not nil"), must(lowest <= highest, "highest", highest, "the lowest limit or more")); err != nil {
		return nil, err
	}
	from, to := l.Support()
	t := &truncated{law: l, lowest: max(lowest, from), highest: min(highest, to)}
	t.before = t.lowest
	if n, normal := asNormal(l); !normal || n.sd == 0 { // the law may have a jump at the limit
		t.before = math.Nextafter(t.lowest, math.Inf(-1))
	}
	if t.lowest > from {
		t.below = l.CDF(t.before)
	}
	if t.highest < to {
		t.above = l.Survival(t.highest)
	}
	t.kept = between(l, t.before, t.highest)
	if t.lowest == t.highest {
		t.kept = 1
	}
	if err := check(name, must(t.kept > 0, "lowest", lowest, "limits that leave some of the law between them")); err != nil {
		return nil, err
	}
	return distribution{t, t.lowest, t.highest, t.moments()}, nil
}

func (t *truncated) tail(x float64, above bool) float64 {
	if above {
		return between(t.law, x, t.highest) / t.kept
	}
	return between(t.law, t.before, x) / t.kept
}

// quantile goes by the tail of the law that has the digits.
func (t *truncated) quantile(p float64, above bool) (x float64) {
	switch {
	case above && t.above > 0.5:
		x = t.law.Quantile(t.below + (1-p)*t.kept)
	case above:
		x = t.law.UpperQuantile(t.above + p*t.kept)
	case t.below > 0.5:
		x = t.law.UpperQuantile(t.above + (1-p)*t.kept)
	default:
		x = t.law.Quantile(t.below + p*t.kept)
	}
	return min(max(x, t.lowest), t.highest) // rounding may pass a limit
}

// seldom is the share that must be kept for drawing again to be quicker than the quantile.
const seldom = 0.3

// Draw fills dst with the next values of a stream: values outside are drawn again, or the quantile is used where little is kept.
func (t *truncated) Draw(dst []float64, s *Stream) {
	if t.lowest == t.highest {
		for i := range dst {
			dst[i] = t.lowest
		}
		return
	}
	if t.kept < seldom {
		for i := range dst {
			dst[i] = t.quantile(s.Float64(), false)
		}
		return
	}
	t.law.Draw(dst, s)
	for i := range dst {
		for dst[i] < t.lowest || dst[i] > t.highest {
			t.law.Draw(dst[i:i+1], s)
		}
	}
}

// between returns P(a < X ≤ b), of a normal law to all its digits even where the tails beyond a and b nearly agree.
func between(l Law, a, b float64) float64 {
	n, normal := asNormal(l)
	switch {
	case !(a < b):
		return 0
	case normal && n.sd > 0:
		return normalBetween((a-n.mean)/n.sd, (b-n.mean)/n.sd, (b-a)/n.sd)
	}
	if below := l.CDF(a); below <= 0.5 {
		if above := l.Survival(b); above <= 0.5 {
			return max((1-below)-above, 0)
		}
		return max(l.CDF(b)-below, 0)
	}
	return max(l.Survival(a)-l.Survival(b), 0)
}

// normalBetween returns Φ(b) − Φ(a); width is b − a, which may have more digits.
func normalBetween(a, b, width float64) float64 {
	if a < 0 && b > 0 && b-a > 1 {
		return 1 - math.Erfc(-a/math.Sqrt2)/2 - math.Erfc(b/math.Sqrt2)/2
	}
	if b <= 0 {
		a, b = -b, -a
	}
	if width*(1+math.Abs(a)) > 1 {
		return (math.Erfc(a/math.Sqrt2) - math.Erfc(b/math.Sqrt2)) / 2
	}
	sum, _ := kronrod(func(t float64) float64 { return density(a + t) }, 0, width)
	return sum
}
