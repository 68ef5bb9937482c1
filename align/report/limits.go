package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// limits says how every limit came out, and where each comes from: in columns, and told one by one where there is no room.
func (t *teller) limits() {
	s := t.page.Section("limits", "Limits: what was asked, and how it came out")
	s.InText = "Why"
	if len(t.res.Verdicts) == 0 {
		s.Item("no limit is given, so there is nothing to pass or fail")
	} else {
		table := s.Table(paper.Words("limit", "verdict"), paper.Numbers("value", "room"))
		table.Caption = "Every limit of the record. Room is from the worst to the nearest limit."
		for i := range t.res.Verdicts {
			t.limit(table, &t.res.Verdicts[i])
		}
	}
	l := t.res.Assembly.Line
	if l == nil {
		return
	}
	if !assembles(t.res.Assembly) {
		s.Item("it does not assemble, so nothing can be said of its shafts; the tables below have every clearance opened by what it lacks")
		return
	}
	use, ok := l.Use.Get()
	switch {
	case !ok:
		s.Item("no straight line passes through supports without room: nothing can be said of how much clearance is used")
	case l.RunsFree:
		s.Item("misalignment uses %s of every clearance", spell.Percent(use))
	default:
		s.Item("straight shafts would need %s", shareUsed(use))
	}
	shares(s, "what uses up the clearance", l.Governs)
	shares(s, "what caps the margin", l.MarginGoverns)
	t.dialled(s)
	t.sweptDrivers(s)
}

// shares lists supports and pockets with their share of what they drive or cap.
func shares(s *paper.Section, what string, list []tolerance.Share) {
	if len(list) == 0 {
		return
	}
	each := spell.Mapped(list, func(g tolerance.Share) string { return spell.Name(g.Name) + " " + spell.Percent(g.Share) })
	s.Item("%s: %s (supports on one shaft act together)", what, spell.Listed(each, 8))
}

// limit is one limit: a row, and the same told.
func (t *teller) limit(table *paper.Table, v *study.Verdict) {
	q := t.quantity(v.Limit.Output)
	what, bounds := t.outputWords(v.Limit), q.bounds(v.Limit.Limits)
	because := "its origin is not stated"
	if v.Limit.Because != "" {
		because = "the limit's origin: " + spell.Clean(v.Limit.Because)
	}
	notes := t.limitNotes(v, q)
	asked, value, room := paper.Cell{Text: what}, paper.Cell{Text: "cannot be said"}, paper.Cell{Text: "-", Small: notes}
	told := fmt.Sprintf("%s: %s", v.Word, what)
	if bounds != "" {
		asked.Text, told = what+": "+bounds, told+" "+bounds
	}
	if v.Value.Given {
		value = q.cell(v.Value.Value)
		told += ", is " + value.Text
	} else {
		told += ", cannot be said"
	}
	small := func(c *paper.Cell, before, said, after string) {
		c.Small, told = append(c.Small, said), told+before+said+after
	}
	if v.Best.Given && v.Worst.Given && v.Best.Value != v.Worst.Value {
		small(&value, " (", fmt.Sprintf("best %s, worst %s as the parts are pushed", q.show(v.Best.Value), q.show(v.Worst.Value)), ")")
	}
	if v.U > 0 {
		small(&value, ", ", "standard uncertainty "+q.sure(v.U)+" from the readings", "")
	}
	if h, ok := v.Holds.Get(); ok && v.Word != tolerance.Undecided {
		small(&value, "; ", "held in "+spell.Percent(h)+" of what the readings leave open", "")
	}
	if in := t.inside(v, q); in != "" {
		told += "; " + in
		if r, said := roomOf(t.res, v).Get(); said && q.Measure != quantity.YesNo {
			room = q.cell(r)
			room.Text, room.Small = in, notes
		}
	}
	if v.Limit.Rests() {
		small(&asked, "; ", "judged where the joints rest", "")
	}
	if v.Corrected {
		small(&asked, "; ", "judged with the gauge's stated shift taken out", "")
	}
	asked.Small = append(asked.Small, because)
	table.Row(t.at.limit(v.Limit), asked, paper.Verdict(v.Word), value, room)
	table.Told = append(table.Told, paper.Item{Text: told, More: append([]string{because}, notes...)})
}

// inside says how far a limit is held or missed, and in which state; nothing of a box that does not assemble.
func (t *teller) inside(v *study.Verdict, q shown) string {
	room, said := roomOf(t.res, v).Get()
	in := inState(v.InState)
	switch {
	case in == "" && (!said || v.Limit.Output.What == align.Assembles):
		return ""
	case !said || v.Limit.Output.What == align.Assembles:
		return "decided" + in
	case room >= 0:
		return "inside by " + q.show(room) + in
	}
	return "outside by " + q.show(-room) + in
}

// limitNotes says what belongs to a limit's verdict: why it fails whatever its number, what would settle it, what it depends
// on, and why no guard band is kept.
func (t *teller) limitNotes(v *study.Verdict, q shown) []string {
	var out []string
	c := boxOf(t.res, v)
	if v.InState != "" {
		out = append(out, "it names no state, so it holds in every one; state "+spell.Name(v.InState)+" decides")
	}
	if !assembles(c.box) {
		if v.Limit.Output.What != align.Assembles {
			out = append(out, "the box does not assemble, so no limit holds")
		}
		return out
	}
	switch v.Word {
	case tolerance.Undecided:
		return append(out, t.settling(v, q))
	case tolerance.Depends:
		out = append(out, "it depends on how the parts are pushed before tightening: see which way to push, below")
	}
	return append(out, of(t.unmoved(v))...)
}

// gaugesAssumed says that the gauges are taken as true, where that is so: because no uncertainty is stated, or because those
// that are stated reach no limit. Empty when a guard band is kept, or there is nothing to keep it for.
func gaugesAssumed(rec *record.Record, res *study.Result) string {
	switch {
	case len(res.Verdicts) == 0 || slices.ContainsFunc(res.Verdicts, func(v study.Verdict) bool { return v.U > 0 || v.Holds.Given }):
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
	return slices.ContainsFunc(res.Assembly.Readings, func(f align.ReadingFit) bool { return f.MeanU.Value > 0 || f.FirstU.Value > 0 }) ||
		slices.ContainsFunc(rec.Vary, func(v record.Vary) bool { return v.Because == "gauge" })
}

func asksFor(res *study.Result, what align.Quantity) bool {
	return slices.ContainsFunc(res.Verdicts, func(v study.Verdict) bool { return v.Limit.Output.What == what })
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
	if c := boxOf(t.res, v); err == nil && c.state != "" {
		s, err = s.InState(c.state)
	}
	if err != nil {
		return "", 0
	}
	shares, err := study.UncertaintyShares(s, v.Limit.Output)
	if err != nil || len(shares) == 0 {
		return "", 0
	}
	return shares[0].Name, shares[0].Share
}

// What a round of readings was taken to mean can be checked by an eye alone: where its first readings are, and what its own
// unit makes of them. Centres are said where they stand.

// understood lists every round of the record as it was understood.
func (c *checker) understood() {
	var list []string
	for _, u := range c.rec.Understood() {
		if slices.Contains([]string{"sweep", "thickness", "round"}, u.Path[strings.LastIndexByte(u.Path, '/')+1:]) {
			list = append(list, c.saidAt(u.Path, u.Text))
		}
	}
	c.page.List("rounds", "Rounds as they were understood: is that where the readings were taken?", list...)
}

// sweptDrivers says of every swept bore that drives the use how its round was understood.
func (t *teller) sweptDrivers(s *paper.Section) {
	drives := spell.Mapped(t.res.Assembly.Line.Governs, func(g tolerance.Share) string { return g.Name })
	for _, u := range t.rec.Understood() {
		at, swept := strings.CutSuffix(u.Path, "/sweep")
		if name := t.at.words[at]; swept && slices.Contains(drives, name) && t.at.bores[name] == at {
			s.Item("the sweep of %s was understood so: %s", spoken(name), spell.Clean(u.Text))
		}
	}
}
