package advise

import (
	"fmt"
	"math"

	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/sheet"
	"example.com/borestack/tolerance"
)

// Page is the audit, lengths in the unit.
func (a *Audit) Page(unit tolerance.Unit) *sheet.Page {
	p := draftOf("How sure, and why", a.Title, unit)
	p.heading("verdict", "Verdict: %s", a.Word)
	for _, d := range a.Doubts {
		p.Item("in doubt: %s: %s", d.Path, d.Why)
	}
	switch {
	case a.All == 0 && len(a.Findings) == 0:
		p.Item("the box does not assemble, so no limit holds")
	case len(a.Doubts) > 0:
		p.Item("no probability is given of the whole box: it would rest on what is in doubt")
	default:
		p.Item("probability that this very box conforms to every limit, at the worst float of its joints: %s, from the readings alone", atLeast(a.All))
	}
	p.Item("that is of this box and its readings; the yield of a batch is another question, and never mixed with it")
	for i := range a.Findings {
		p.finding(&a.Findings[i])
	}
	p.heading("provenance", "Provenance")
	p.Item("record, SHA-256: %s", a.Record)
	p.Item("computed by %s", a.Software)
	p.Item("%d things assumed and not measured, %d warnings: the report lists them", len(a.Assumed), len(a.Warnings))
	return p.done("borestack-audit/1")
}

// finding writes one limit's finding.
func (p *draft) finding(f *AuditedFinding) {
	e := Effect{Output: f.Output, State: f.State}
	show := func(v float64) string { return p.value(e, tolerance.Given(v)) }
	p.heading("finding", "%s (%s): %s", spell.Upper(outputWords(e)), f.Path, f.Word)
	p.Item("limit: %s; origin: %s; read as: %s", spell.Bounds(f.Limit.Limits, show), spell.Either(f.Limit.Origin == "", "not stated", f.Limit.Origin), f.Limit.Convention)
	p.Item("value %s, standard uncertainty %s; rule: %s; by itself: %s", show(f.Value), show(f.U), f.Rule, f.Decision)
	p.Item("probability that this very box conforms, from the readings alone: %s", chance(f.Conforms))
	switch f.Decision {
	case tolerance.Pass:
		p.Item("risk that it is accepted wrongly (consumer's): %s", chance(f.Consumer))
	case tolerance.Fail:
		p.Item("risk that it is rejected wrongly (producer's): %s", chance(f.Producer))
	default:
		p.Item("to accept it would risk %s (consumer's), to reject it %s (producer's)", chance(f.Consumer), chance(f.Producer))
	}
	if f.Settles.Given {
		s := fmt.Sprintf("a standard uncertainty of %s would settle it", show(f.Settles.Value))
		s += spell.If(f.Repeats.Given, fmt.Sprintf(": %d readings in place of each one", f.Repeats.Value))
		if len(f.Shares) > 0 {
			s += ", " + f.Shares[0].Name + " first"
		}
		p.Item("%s", s)
	}
	for i, s := range f.Shares {
		p.When(i < 3 && s.Share > 0.05, "%.0f %% of that uncertainty comes from the %s", 100*s.Share, s.Name)
	}
	for _, w := range f.Warnings {
		p.Item("%s", w)
	}
}

// atLeast is a lower bound of a probability.
func atLeast(v float64) string {
	s := chance(v)
	if s[0] == 'o' || s[0] == 'u' { // over so much, or under so little
		return s
	}
	return "at least " + s
}

// chance is a probability, with no more nines than mean anything.
func chance(v float64) string {
	const small = 1e-4
	switch {
	case v < small:
		return "under 0.01 %"
	case v > 1-small:
		return "over 99.99 %"
	}
	return fmt.Sprintf("%.*f %%", int(math.Max(0, 1-math.Floor(math.Log10(100*math.Min(v, 1-v))))), 100*v)
}
