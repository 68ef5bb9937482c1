package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/study"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/tolerance"
)

// variation says how the outputs vary: worst case, root sum of squares and samples side by side, and what contributes.
func (t *teller) variation() {
	for _, v := range t.res.Variations {
		title, count := "How a batch varies (process)", "yield"
		if v.Because == "gauge" {
			title, count = "How sure this box is (gauge)", "probability"
		}
		s := t.page.Section("variation", title)
		table := s.Table(paper.Words("output"), paper.Numbers("nominal", "worst case", "RSS bad end", "sampled bad end", "mean", "sd", count))
		for _, o := range v.Outputs {
			table.Row(t.at.limit(o.Limit), t.variedRow(&o)...)
		}
		s.Text("From %d samples, seed %d. Worst case: every deviation at its limit at once. RSS: means and covariances to first order, a size by the exact law of a plane vector. The bad end is what 99.73 %% of samples are better than: they lie below it where the limit is a greatest, above it where it is a least, as for a margin.", v.Samples, v.Seed)
		s.When(len(v.Floats) > 0, "samples take the worst push of %s; RSS takes them at rest", spell.Listed(cleaned(v.Floats), 4))
		if i := slices.IndexFunc(v.Outputs, func(o study.Varied) bool { return o.Limited() && o.Sampled.Good == o.Sampled.Samples }); i >= 0 {
			s.Item("every sample within limits means a %s of at least %s %% with 95 %% confidence", count, twoDecimals(v.Outputs[i].Sampled.YieldInterval[0]))
		}
		t.unbounded(s, v)
		for i := range v.Outputs {
			t.variedNotes(s, &v.Outputs[i], count)
		}
		t.varies(s, v.Because)
	}
}

func cleaned(names []string) []string { return spell.Mapped(names, spell.Name) }

// unbounded names the inputs without limits, which leave outputs without a worst case.
func (t *teller) unbounded(s *paper.Section, v *study.Variation) {
	var list []string
	for _, o := range v.Outputs {
		if u := spell.Name(o.Unbounded); u != "" && !slices.Contains(list, u) {
			list = append(list, u)
		}
	}
	s.When(len(list) > 0, "no worst case: %s has no limits, and nothing invents them", spell.Listed(list, 4))
}

func (t *teller) variedName(v *study.Varied) string {
	return outputShort(v.Limit.Output) + strings.Replace(inState(v.Limit.State), " in state ", " in ", 1)
}

func (t *teller) variedRow(v *study.Varied) []paper.Cell {
	q, s := t.quantity(v.Limit.Output), v.Sampled
	row := paper.Cells(t.variedName(v), "-", t.worstWords(v, q), "-", "no line", "-", "-", "-")
	if v.Nominal.Given {
		row[1] = q.cell(v.Nominal.Value)
	}
	if far, ok := badEndFirstOrder(v); ok {
		row[3] = q.cell(far)
	}
	if far := badEnd(v); ieee.Finite(far) {
		row[4] = q.cell(far)
	}
	if s.Infinite == 0 && q.Measure != quantity.YesNo {
		row[5], row[6] = q.cell(s.Mean), q.cell(s.SD)
		row[6].Text = q.sure(s.SD)
	}
	if v.Limited() {
		row[7] = paper.Number(twoDecimals(s.Yield)+" %", s.Yield, "")
	}
	return row
}

// worstWords is the worst case: a range, or why there is none.
func (t *teller) worstWords(v *study.Varied, q shown) string {
	w := v.Worst
	switch {
	case w == nil && v.Unbounded != "":
		return "no limits"
	case w == nil:
		return "-"
	}
	show := func(o tolerance.Optional[float64]) string {
		if !o.Given {
			return "-"
		}
		return q.show(o.Value)
	}
	return strings.TrimSuffix(show(w.Least), " "+t.p.Unit.String()) + " to " + show(w.Greatest) + spell.Either(w.Exact, "", " (found)")
}

// twoDecimals is a share in hundredths of a percent, or as finely as tells it from all.
func twoDecimals(p float64) string { return strconv.FormatFloat(100*p, 'f', decimals(p), 64) }

// leastShare is the least share of a variance that is named: half a percent, which rounds to one.
const leastShare = 0.005

// variedNotes says what contributes most, and where RSS misleads.
func (t *teller) variedNotes(s *paper.Section, v *study.Varied, count string) {
	what := t.variedName(v)
	if v.Limited() && v.Sampled.Good < v.Sampled.Samples {
		between := v.Sampled.YieldInterval
		s.Item("%s: %s between %s and %s %% with 95 %% confidence", what, count, twoDecimals(between[0]), twoDecimals(between[1]))
	}
	tell := func(said string, list []string) {
		s.When(len(list) > 0, "%s: %s: %s", what, said, strings.Join(list, ", "))
	}
	shares := largestFirst(v.Shares, leastShare)
	tell("shares of its variance", spell.Mapped(shares[:min(len(shares), 5)], func(q tolerance.Share) string { return spell.Name(q.Name) + " " + spell.Percent(q.Share) }))
	var list clauses
	for _, c := range v.Causes[:min(len(v.Causes), 3)] {
		name := spell.Name(c.Input)
		name += spell.If(c.Pair, " along "+axisOf(c))
		list.add("%s in its %s tenth %.1f times", name, tailOf(c), c.Times)
	}
	tell("when it fails, more often than usual", list)
	for _, c := range v.Cautions() {
		s.Item("%s: %s", what, c)
	}
}

// largestFirst are the shares of at least that, the largest first.
func largestFirst(list []tolerance.Share, least float64) []tolerance.Share {
	list = slices.DeleteFunc(slices.Clone(list), func(s tolerance.Share) bool { return s.Share < least })
	slices.SortStableFunc(list, func(a, b tolerance.Share) int { return cmp.Compare(b.Share, a.Share) })
	return list
}

// varies lists what varies for that reason, with what it moves.
func (t *teller) varies(s *paper.Section, because string) {
	var table *paper.Table
	for k, source := range t.rec.Vary {
		if cmp.Or(source.Because, "process") != because {
			continue
		}
		if table == nil {
			table = s.Table(paper.Words("what varies", "law", "moves"))
			table.Wide, table.Caption = true, "What varies. A law's number is in the unit of the number that it moves."
		}
		at := of(fmt.Sprintf("/vary/%d", k))
		if source.Float != "" {
			table.Row(append(at, of(t.at.named["joint/"+source.Float])...), paper.Cells("joint "+spell.Name(source.Float), "lies: "+spell.Clean(source.Law.Word), "where it lies")...)
			continue
		}
		moves := slices.Clone(source.At.List)
		for _, also := range source.Also {
			moves = append(moves, also.At.List...)
		}
		many := "one number"
		if len(moves) != 1 {
			many = fmt.Sprintf("%d numbers together", len(moves))
		}
		table.Row(append(at, moves...), paper.Cells(spell.Name(source.Name), spell.Clean(source.Law.String()), many)...)
	}
}

// usualShare is the share of samples on the good side of the number that a report gives: ±3 standard deviations of a normal
// distribution.
const usualShare = 0.9973

// lowIsBad reports whether an output's bad end is its low one: a least limit alone, a margin without any, and of limits on
// both sides the one with less room below these ends.
func lowIsBad(v *study.Varied, low, high float64) bool {
	least, greatest := v.Limit.Least, v.Limit.Greatest
	if greatest.Given {
		return least.Given && low-least.Value < greatest.Value-high
	}
	return least.Given || quantity.Of(v.Limit.Output.What).LowIsBad
}

// badEnd is the value that 99.73 % of samples are better than.
func badEnd(v *study.Varied) float64 {
	low, _ := v.Sampled.Quantile(1 - usualShare)
	high, _ := v.Sampled.Quantile(usualShare)
	if lowIsBad(v, low, high) {
		return low
	}
	return high
}

// badEndFirstOrder is the same to first order: of a size only its high end is worked out; anything else is normal, the
// same on both sides of its mean. False: it cannot be said.
func badEndFirstOrder(v *study.Varied) (float64, bool) {
	if v.RSS == nil {
		return 0, false
	}
	high := v.RSS.Quantiles[len(v.RSS.Quantiles)-1]
	low := 2*v.RSS.Mean - high
	if e := quantity.Of(v.Limit.Output.What); e.Size() {
		return high, !v.Limit.Least.Given
	}
	if lowIsBad(v, low, high) {
		return low, true
	}
	return high, true
}

// yieldWords says beside the verdict how a batch, or this box within its gauges, does: of the limit that holds least often,
// and where its bad end lies. It changes no verdict.
func (t *teller) yieldWords() string {
	out := ""
	for _, q := range t.res.Variations {
		limited := slices.DeleteFunc(slices.Clone(q.Outputs), func(o study.Varied) bool { return !o.Limited() })
		if len(limited) == 0 {
			continue
		}
		least := slices.MinFunc(limited, func(a, b study.Varied) int { return cmp.Compare(a.Sampled.Yield, b.Sampled.Yield) })
		v := &least
		what := spell.Either(q.Because == "gauge", "Probability that this very box holds, given its gauges", "Yield of a batch made like this")
		s := v.Sampled
		which := strings.TrimSpace(outputShort(v.Limit.Output) + inState(v.Limit.State) + " " + t.quantity(v.Limit.Output).bounds(v.Limit.Limits))
		out += fmt.Sprintf("%s: %s (%s to %s with 95 %% confidence), by its worst limit, %s", what, percentage(s.Yield), strings.TrimSuffix(percentage(s.YieldInterval[0]), " %"), percentage(s.YieldInterval[1]), which)
		if bad := badEnd(v); ieee.Finite(bad) && v.Limit.Output.What != align.Assembles {
			low, _ := s.Quantile(1 - usualShare)
			beyond := spell.Either(low == bad, "less", "more")
			out += fmt.Sprintf("; 0.27 %% have %s than %s", beyond, t.quantity(v.Limit.Output).show(bad))
		}
		out += ". "
	}
	out += spell.If(out != "", "The verdict above is of this box as it is.")
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
