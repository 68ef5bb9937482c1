package report

import (
	"fmt"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// limits says how every limit came out, and where each comes from.
func (t *teller) limits() {
	t.page.heading("Why")
	if len(t.res.Verdicts) == 0 {
		t.page.item("no limit is given, so there is nothing to pass or fail")
	}
	for i := range t.res.Verdicts {
		t.limit(&t.res.Verdicts[i])
	}
	l := t.res.Assembly.Line
	if l == nil {
		return
	}
	if !assembles(t.res.Assembly) {
		t.page.item("it does not assemble, so nothing can be said of its shafts; the tables below have every clearance opened by what it lacks")
		return
	}
	use, ok := l.Use.Get()
	switch {
	case !ok:
		t.page.item("no straight line passes through supports without room: no use of clearance can be said")
	case l.RunsFree:
		t.page.item("misalignment uses %s of every clearance", spell.Percent(use))
	default:
		t.page.item("straight shafts would need %s", shareUsed(use))
	}
	t.shares("what drives the use of clearance", l.Governs)
	t.shares("what caps the margin", l.MarginGoverns)
	t.dialled()
	t.sweptDrivers()
}

// shares lists supports and pockets with their share of what they drive or cap.
func (t *teller) shares(what string, list []align.Governor) {
	if len(list) == 0 {
		return
	}
	var s []string
	for _, g := range list {
		s = append(s, fmt.Sprintf("%s %s", spell.Name(g.Name), spell.Percent(g.Share)))
	}
	t.page.item("%s: %s (supports on one shaft act together)", what, spell.Listed(s, 8))
}

// limit is one limit's line.
func (t *teller) limit(v *study.Verdict) {
	q := t.quantity(v.Limit.Output)
	s := fmt.Sprintf("%s: %s %s", v.Word, t.outputWords(v.Limit), q.bounds(v.Limit.Least, v.Limit.Greatest))
	if v.Value.Given {
		s += ", is " + q.show(v.Value.Value)
	} else {
		s += ", cannot be said"
	}
	if v.Best.Given && v.Worst.Given && v.Best.Value != v.Worst.Value {
		s += fmt.Sprintf(" (best %s, worst %s over the float)", q.show(v.Best.Value), q.show(v.Worst.Value))
	}
	if v.U > 0 {
		s += fmt.Sprintf(", standard uncertainty %s from the readings", q.show(v.U))
	}
	if h, ok := v.Holds.Get(); ok && v.Word != tolerance.Undecided {
		s += fmt.Sprintf("; held in %s of what the readings leave open", spell.Percent(h))
	}
	s += t.inside(v, q)
	if v.Limit.AtRest {
		s += "; judged where the joints rest"
	}
	if v.Corrected {
		s += "; judged with the gauge's stated shift taken out"
	}
	t.page.item("%s", s)
	because := "its origin is not stated"
	if v.Limit.Because != "" {
		because = "the limit's origin: " + spell.Clean(v.Limit.Because)
	}
	t.page.hang(6, 6, because)
	for _, more := range t.limitNotes(v, q) {
		t.page.hang(6, 6, more)
	}
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
			return "; decided" + in
		}
		return ""
	case room >= 0:
		return "; inside by " + q.show(room) + in
	}
	return "; outside by " + q.show(-room) + in
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
