package report

import (
	"fmt"
	"math"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
)

// gaugesAssumed says that the gauges are taken as true, where that is so: because no uncertainty is stated, or because those
// that are stated reach no limit. Empty when a guard band is kept, or there is nothing to keep it for.
func gaugesAssumed(rec *record.Record, res *study.Result) string {
	switch {
	case len(res.Verdicts) == 0 || anyUncertainty(res):
		return ""
	case uncertaintyStated(rec, res):
		s := "the stated uncertainties move no limit that is asked for, so no guard band is kept"
		if by := capped(res.Assembly.Line); by != "" && asksFor(res, align.Margin) {
			s += ": the margin is capped by " + by + ", which no reading with a stated uncertainty moves"
		}
		return s
	case len(res.Assembly.Readings) > 0:
		return "the gauges read true: no uncertainty is stated that reaches a limit, so no guard band is kept"
	}
	return ""
}

// uncertaintyStated reports whether any reading, or any source that varies because of the gauge, states an uncertainty.
func uncertaintyStated(rec *record.Record, res *study.Result) bool {
	for i := range res.Assembly.Readings {
		if f := &res.Assembly.Readings[i]; f.MeanU.Value > 0 || f.FirstU.Value > 0 {
			return true
		}
	}
	for i := range rec.Vary {
		if rec.Vary[i].Because == "gauge" {
			return true
		}
	}
	return false
}

// anyUncertainty reports whether a stated uncertainty reaches any limit.
func anyUncertainty(res *study.Result) bool {
	for i := range res.Verdicts {
		if v := &res.Verdicts[i]; v.U > 0 || v.Holds.Given {
			return true
		}
	}
	return false
}

// asksFor reports whether a limit is on that quantity.
func asksFor(res *study.Result, what align.Quantity) bool {
	for i := range res.Verdicts {
		if res.Verdicts[i].Limit.Output.What == what {
			return true
		}
	}
	return false
}

// unmoved says of a limit that no stated uncertainty reaches why that is so; empty of any other.
func (t *teller) unmoved(v *study.Verdict) string {
	if v.U > 0 || v.Holds.Given || !uncertaintyStated(t.rec, t.res) || v.Doubted || v.Limit.Output.What == align.Assembles || !assembles(boxOf(t.res, v).box) {
		return ""
	}
	if by := capped(boxOf(t.res, v).box.Line); by != "" && v.Limit.Output.What == align.Margin {
		return "no stated uncertainty moves it: it is capped by " + by
	}
	return "no stated uncertainty moves it"
}

// settling says what would settle a limit that is undecided: what is in doubt, or how good readings, and which first.
func (t *teller) settling(v *study.Verdict, q shown) string {
	if v.Doubted {
		return "it rests on what is in doubt: measure that again, or correct the record"
	}
	s := "what is stated of the readings leaves it open"
	if h, ok := v.Holds.Get(); ok {
		s = fmt.Sprintf("what the readings leave open holds it in %s of cases, where a pass asks for 95 %%", spell.Percent(h))
	} else if v.U > 0 {
		s = fmt.Sprintf("within the guard band of %s (%s standard uncertainties, 95 %%)", q.sure(guardBand*v.U), spell.Trimmed(guardBand, 2))
		if room := math.Abs(roomOf(t.res, v).Value); room > 0 && room < guardBand*v.U {
			s += fmt.Sprintf("; readings good for a standard uncertainty of %s would settle it", q.sure(room/guardBand))
		}
	}
	if set, share := t.leastCertain(v); set != "" {
		s += fmt.Sprintf("; most of it (%s) comes from the readings of %s: take those again first, more often or with a better gauge", spell.Percent(share), setWords(set))
	}
	return s
}

// setWords says a set of readings, "plate: thickness", within a sentence.
func setWords(set string) string { return spell.Clean(strings.Replace(set, ": ", ", ", 1)) }

// leastCertain is the set of readings that the uncertainty of a limit comes from most, and its share of the variance; empty
// when no reading moves it, or that cannot be worked out.
func (t *teller) leastCertain(v *study.Verdict) (set string, share float64) {
	s, err := t.rec.Stack()
	if err != nil {
		return "", 0
	}
	if c := boxOf(t.res, v); c.state != "" {
		if s, err = s.InState(c.state); err != nil {
			return "", 0
		}
	}
	shares, err := study.UncertaintyShares(s, v.Limit.Output)
	if err != nil || len(shares) == 0 {
		return "", 0
	}
	return shares[0].Name, shares[0].Share
}
