package report

import (
	"fmt"
	"slices"
	"sort"
	"strconv"
	"strings"

	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/study"
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
		table := s.Table(append(paper.Words("output"), paper.Numbers("nominal", "worst case", "RSS bad end", "sampled bad end", "mean", "sd", count)...)...)
		for i := range v.Outputs {
			table.Row(t.at.limit(v.Outputs[i].Limit), t.variedRow(&v.Outputs[i])...)
		}
		s.Text("From %d samples, seed %d. Worst case: every deviation at its limit at once. RSS: means and covariances to first order, a size by the exact law of a plane vector. The bad end is what 99.73 %% of samples are better than: they lie below it where the limit is a greatest, above it where it is a least, as for a margin.", v.Samples, v.Seed)
		if len(v.Floats) > 0 {
			s.Item("samples take the worst push of %s; RSS takes them at rest", spell.Listed(cleaned(v.Floats), 4))
		}
		for i := range v.Outputs {
			if q := &v.Outputs[i].Sampled; v.Outputs[i].Limited() && q.Good == q.Samples {
				s.Item("every sample within limits means a %s of at least %s %% with 95 %% confidence", count, twoDecimals(q.YieldInterval[0]))
				break
			}
		}
		t.unbounded(s, v)
		for i := range v.Outputs {
			t.variedNotes(s, &v.Outputs[i], count)
		}
		t.varies(s, v.Because)
	}
}

func cleaned(names []string) []string {
	var out []string
	for _, n := range names {
		out = append(out, spell.Name(n))
	}
	return out
}

// unbounded names the inputs without limits, which leave outputs without a worst case.
func (t *teller) unbounded(s *paper.Section, v *study.Variation) {
	var list []string
	for i := range v.Outputs {
		if u := v.Outputs[i].Unbounded; u != "" && !slices.Contains(list, spell.Name(u)) {
			list = append(list, spell.Name(u))
		}
	}
	if len(list) > 0 {
		s.Item("no worst case: %s has no limits, and nothing invents them", spell.Listed(list, 4))
	}
}

// variedName says which output it is, and of which state.
func (t *teller) variedName(v *study.Varied) string {
	s := outputShort(v.Limit.Output)
	if v.Limit.State != "" {
		s += " in " + spell.Name(v.Limit.State)
	}
	return s
}

// variedRow is one output's row.
func (t *teller) variedRow(v *study.Varied) []paper.Cell {
	q, s := t.quantity(v.Limit.Output), v.Sampled
	row := paper.Cells(t.variedName(v), "-", t.worstWords(v, q), "-", "no line", "-", "-", "-")
	if v.Nominal.Given {
		row[1] = q.cell(v.Nominal.Value)
	}
	if far, ok := badEndFirstOrder(v); ok {
		row[3] = q.cell(far)
	}
	if far := badEnd(v); far-far == 0 {
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
	s := strings.TrimSuffix(show(w.Least), " "+t.p.Unit.String()) + " to " + show(w.Greatest)
	if !w.Exact {
		s += " (found)"
	}
	return s
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
	shares := append([]tolerance.Share(nil), v.Shares...)
	sort.SliceStable(shares, func(i, k int) bool { return shares[i].Share > shares[k].Share })
	var list []string
	for _, q := range shares {
		if q.Share >= leastShare && len(list) < 5 {
			list = append(list, spell.Name(q.Name)+" "+spell.Percent(q.Share))
		}
	}
	if len(list) > 0 {
		s.Item("%s: shares of its variance: %s", what, strings.Join(list, ", "))
	}
	list = list[:0]
	for _, c := range v.Causes[:min(len(v.Causes), 3)] {
		name := spell.Name(c.Input)
		if c.Pair {
			name += " along " + axisOf(c)
		}
		list = append(list, fmt.Sprintf("%s in its %s tenth %s times", name, tailOf(c), strconv.FormatFloat(c.Times, 'f', 1, 64)))
	}
	if len(list) > 0 {
		s.Item("%s: when it fails, more often than usual: %s", what, strings.Join(list, ", "))
	}
	for _, c := range v.Cautions() {
		s.Item("%s: %s", what, c)
	}
}

// varies lists what varies for that reason, with what it moves.
func (t *teller) varies(s *paper.Section, because string) {
	list := t.at.vary(because)
	if len(list) == 0 {
		return
	}
	table := s.Table(paper.Words("what varies", "law", "moves")...)
	table.Wide, table.Caption = true, "What varies. A law's number is in the unit of the number that it moves."
	for _, k := range list {
		source := &t.rec.Vary[k]
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
