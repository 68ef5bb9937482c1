package report

import (
	"fmt"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/internal/spell"
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
		table := s.Table(append(paper.Words("limit", "verdict"), paper.Numbers("value", "room")...)...)
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
	var each []string
	for _, g := range list {
		each = append(each, fmt.Sprintf("%s %s", spell.Name(g.Name), spell.Percent(g.Share)))
	}
	s.Item("%s: %s (supports on one shaft act together)", what, spell.Listed(each, 8))
}

// limit is one limit: a row, and the same told.
func (t *teller) limit(table *paper.Table, v *study.Verdict) {
	q := t.quantity(v.Limit.Output)
	what, bounds := t.outputWords(v.Limit), q.bounds(v.Limit.Least, v.Limit.Greatest)
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
	if v.Best.Given && v.Worst.Given && v.Best.Value != v.Worst.Value {
		over := fmt.Sprintf("best %s, worst %s as the parts are pushed", q.show(v.Best.Value), q.show(v.Worst.Value))
		value.Small, told = append(value.Small, over), told+" ("+over+")"
	}
	if v.U > 0 {
		u := fmt.Sprintf("standard uncertainty %s from the readings", q.sure(v.U))
		value.Small, told = append(value.Small, u), told+", "+u
	}
	if h, ok := v.Holds.Get(); ok && v.Word != tolerance.Undecided {
		held := fmt.Sprintf("held in %s of what the readings leave open", spell.Percent(h))
		value.Small, told = append(value.Small, held), told+"; "+held
	}
	if in := t.inside(v, q); in != "" {
		told += "; " + in
		if r, said := roomOf(t.res, v).Get(); said && q.Measure != quantity.YesNo {
			room = q.cell(r)
			room.Text, room.Small = in, notes
		}
	}
	if v.Limit.AtRest {
		const rest = "judged where the joints rest"
		asked.Small, told = append(asked.Small, rest), told+"; "+rest
	}
	if v.Corrected {
		const shifted = "judged with the gauge's stated shift taken out"
		asked.Small, told = append(asked.Small, shifted), told+"; "+shifted
	}
	asked.Small = append(asked.Small, because)
	table.Row(t.at.limit(v.Limit), asked, paper.Verdict(v.Word), value, room)
	table.Told = append(table.Told, paper.Item{Text: told, More: append([]string{because}, notes...)})
}

// inside says how far a limit is held or missed, and in which state; nothing of a box that does not assemble.
func (t *teller) inside(v *study.Verdict, q shown) string {
	room, said := roomOf(t.res, v).Get()
	in := ""
	if v.InState != "" {
		in = " in state " + spell.Name(v.InState)
	}
	switch {
	case !said || v.Limit.Output.What == align.Assembles:
		if in != "" {
			return "decided" + in
		}
		return ""
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
	if s := t.unmoved(v); s != "" {
		out = append(out, s)
	}
	return out
}
