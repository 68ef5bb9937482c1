package law

import "math"

// Truncated is another law between limits: its values outside are left out, not moved to the limits.
type Truncated struct {
	law             Law
	lowest, highest float64
	before          float64 // the greatest value left out below
	below, above    float64 // the shares cut off
	kept            float64
	moments         Moments
}

// Truncate returns the law between two limits, which are kept and each of which may be infinite. It returns a [ParameterError] when the limits are not in order or leave nothing of the law. Equal limits within the support leave a constant.
func Truncate(l Law, lowest, highest float64) (*Truncated, error) {
	if isNil(l) {
		return nil, &ParameterError{"truncated", "law", math.NaN(), "a law, not nil"}
	}
	if math.IsNaN(lowest) || math.IsNaN(highest) || lowest > highest {
		return nil, &ParameterError{"truncated", "highest", highest, "the lowest limit or more"}
	}
	from, to := l.Support()
	t := &Truncated{law: l, lowest: max(lowest, from), highest: min(highest, to)}
	t.before = t.lowest
	if n, normal := l.(Normal); !normal || n.sd == 0 { // the law may have a jump at the limit
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
	if !(t.kept > 0) {
		return nil, &ParameterError{"truncated", "lowest", lowest, "limits that leave some of the law between them"}
	}
	t.moments = t.integrate()
	return t, nil
}

// CDF returns P(X ≤ x).
func (t *Truncated) CDF(x float64) float64 {
	switch {
	case math.IsNaN(x):
		return x
	case x < t.lowest:
		return 0
	case x >= t.highest:
		return 1
	}
	return min(between(t.law, t.before, x)/t.kept, 1)
}

// Survival returns P(X > x).
func (t *Truncated) Survival(x float64) float64 {
	switch {
	case math.IsNaN(x):
		return x
	case x < t.lowest:
		return 1
	case x >= t.highest:
		return 0
	}
	return min(between(t.law, x, t.highest)/t.kept, 1)
}

// Quantile returns the x below which a share p lies.
func (t *Truncated) Quantile(p float64) float64 {
	switch {
	case !(p >= 0 && p <= 1):
		return math.NaN()
	case p == 0 || t.lowest == t.highest:
		return t.lowest
	case p == 1:
		return t.highest
	case t.below > 0.5:
		return t.clamp(t.law.UpperQuantile(t.above + (1-p)*t.kept))
	}
	return t.clamp(t.law.Quantile(t.below + p*t.kept))
}

// UpperQuantile returns the x above which a share q lies.
func (t *Truncated) UpperQuantile(q float64) float64 {
	switch {
	case !(q >= 0 && q <= 1):
		return math.NaN()
	case q == 0 || t.lowest == t.highest:
		return t.highest
	case q == 1:
		return t.lowest
	case t.above > 0.5:
		return t.clamp(t.law.Quantile(t.below + (1-q)*t.kept))
	}
	return t.clamp(t.law.UpperQuantile(t.above + q*t.kept))
}

// clamp keeps rounding from passing a limit.
func (t *Truncated) clamp(x float64) float64 { return min(max(x, t.lowest), t.highest) }

// Moments returns the moments of what is left: those of a normal law to rounding, those of others by quadrature over the quantiles.
func (t *Truncated) Moments() Moments { return t.moments }

// Support returns the limits, or the ends of the law where these are nearer.
func (t *Truncated) Support() (lowest, highest float64) { return t.lowest, t.highest }

// seldom is the share that must be kept for drawing again to be quicker than the quantile.
const seldom = 0.3

// Draw fills dst with the next values of a stream: values outside are drawn again, or the quantile is used where little is kept.
func (t *Truncated) Draw(dst []float64, s *Stream) {
	if t.lowest == t.highest {
		for i := range dst {
			dst[i] = t.lowest
		}
		return
	}
	if t.kept < seldom {
		for i := range dst {
			dst[i] = t.Quantile(s.Float64())
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
