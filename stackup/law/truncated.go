package law

import "math"

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
