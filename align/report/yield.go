package report

import (
	"fmt"
	"math"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/study"
)

// usualShare is the share of samples on the good side of the number that a report gives: ±3 standard deviations of a normal
// law.
const usualShare = 0.9973

// lowIsBad reports whether an output's bad end is its low one: a least limit alone, and a margin without any.
func lowIsBad(v *study.Varied) bool {
	l := v.Limit
	if l.Greatest.Given {
		return false
	}
	return l.Least.Given || quantity.Of(l.Output.What).LowIsBad
}

// badEnd is the value that 99.73 % of samples are better than. Of an output with limits on both sides it is the end with
// less room.
func badEnd(v *study.Varied) float64 {
	low, _ := v.Sampled.Quantile(1 - usualShare)
	high, _ := v.Sampled.Quantile(usualShare)
	if lowIsBad(v) || v.Limit.Least.Given && v.Limit.Greatest.Given && low-v.Limit.Least.Value < v.Limit.Greatest.Value-high {
		return low
	}
	return high
}

// badEndFirstOrder is the same to first order: of a size only its high end is worked out; anything else is a normal law, the
// same on both sides of its mean. False: it cannot be said.
func badEndFirstOrder(v *study.Varied) (float64, bool) {
	if v.RSS == nil {
		return 0, false
	}
	high := v.RSS.Quantiles[len(v.RSS.Quantiles)-1]
	low := 2*v.RSS.Mean - high
	l, e := v.Limit, quantity.Of(v.Limit.Output.What)
	switch {
	case e.Size():
		return high, !l.Least.Given
	case lowIsBad(v), l.Least.Given && l.Greatest.Given && low-l.Least.Value < l.Greatest.Value-high:
		return low, true
	}
	return high, true
}

// yieldWords says beside the verdict how a batch, or this box within its gauges, does: of the limit that holds least often,
// and where its bad end lies. It changes no verdict.
func (t *teller) yieldWords() string {
	out := ""
	for _, q := range t.res.Variations {
		v := leastYield(q)
		if v == nil {
			continue
		}
		what := "Yield of a batch made like this"
		if q.Because == "gauge" {
			what = "Probability that this very box holds, given its gauges"
		}
		s := v.Sampled
		out += fmt.Sprintf("%s: %s (%s to %s with 95 %% confidence), by its worst limit, %s", what, percentage(s.Yield), strings.TrimSuffix(percentage(s.YieldInterval[0]), " %"), percentage(s.YieldInterval[1]), t.limitOf(v))
		if bad := badEnd(v); bad-bad == 0 && v.Limit.Output.What != align.Assembles {
			beyond := "more"
			if low, _ := s.Quantile(1 - usualShare); low == bad {
				beyond = "less"
			}
			out += fmt.Sprintf("; 0.27 %% have %s than %s", beyond, t.quantity(v.Limit.Output).show(bad))
		}
		out += ". "
	}
	if out != "" {
		out += "The verdict above is of this box as it is."
	}
	return out
}

// percentage is a share of samples, with no more digits than samples can tell.
func percentage(p float64) string {
	digits := 1
	if p > 0.99 && p < 1 {
		digits = decimals(p)
	}
	return spell.Trimmed(100*p, digits) + " %"
}

// decimals are those of a share in percent: two, or as many as tell it from all.
func decimals(p float64) int {
	if missing := 100 * (1 - p); missing > 0 {
		return max(2, int(math.Ceil(-math.Log10(missing))))
	}
	return 2
}

// limitOf is an output with its limit.
func (t *teller) limitOf(v *study.Varied) string {
	s := outputShort(v.Limit.Output)
	if v.Limit.State != "" {
		s += " in state " + spell.Name(v.Limit.State)
	}
	if b := t.quantity(v.Limit.Output).bounds(v.Limit.Least, v.Limit.Greatest); b != "" {
		s += " " + b
	}
	return s
}

// leastYield is the output that holds its limit least often; nil when there is no limit.
func leastYield(q *study.Variation) *study.Varied {
	var least *study.Varied
	for i := range q.Outputs {
		if o := &q.Outputs[i]; o.Limited() && (least == nil || o.Sampled.Yield < least.Sampled.Yield) {
			least = o
		}
	}
	return least
}
