package advise

import (
	"fmt"
	"strconv"
	"strings"

	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/sheet"
	"example.com/borestack/tolerance"
)

// mostListed is how many options a list shows.
const mostListed = 16

// Page is the ranked list of options, lengths in the unit: verdict, margin at the worst float, what it takes, what else it changes, and what was refused.
func (a *Advice) Page(unit tolerance.Unit) *sheet.Page {
	p := draftOf("What can be done", a.Box.Stack.Title, unit)
	p.heading("simplest", "The simplest that passes")
	if s := a.Simplest(); s == nil {
		p.Item("nothing that the shop may do makes it pass for certain: the best of it leads the list")
	} else if m, ok := s.After.WorstMargin(); ok {
		p.Item("%s: leaves %s of margin", a.short(p, s), p.Both(m))
	} else {
		p.Item("%s", a.short(p, s))
	}
	p.heading("options", "Options, best first")
	table := p.Table(paper.Words("", "what", "verdict"), paper.Numbers("margin "+unit.String(), "effort"), paper.Words("makes worse"))
	for i := range a.Options {
		if i == mostListed {
			break
		}
		o := &a.Options[i]
		margin := paper.Cell{Text: "-"}
		if m, ok := o.After.WorstMargin(); ok {
			margin = paper.Number(p.Plain(m), float64(m), "mm")
		}
		worse := ""
		for k, e := range o.Worse() {
			worse += spell.If(k > 0, ", ") + outputWords(e)
		}
		table.Row(nil, paper.Cell{Text: strconv.Itoa(i + 1)}, paper.Cell{Text: a.short(p, o)}, paper.Verdict(o.After.Word), margin, paper.Number(strconv.Itoa(o.Effort), float64(o.Effort), ""), paper.Cell{Text: worse})
	}
	if n := len(a.Options) - mostListed; n > 0 {
		p.Item("and %d more", n)
	}
	p.Item("margin: what is left of the radial room for straight shafts, at the worst float of the joints; effort: a rank of work and risk, no hours")
	p.When(a.Before.Margin != nil, "options whose margins are within %s of each other are ranked by effort: the gauge tells no more", p.Both(tolerance.Length(a.Tell)))
	if len(a.Refused) > 0 {
		p.heading("refused", "Not possible")
		for _, r := range a.Refused {
			why := strings.ReplaceAll(r.Err.Error(), "\n", "; ")
			if !strings.HasPrefix(why, r.Kind.String()) {
				why = r.Kind.String() + spell.If(r.Place != "", " of "+r.Place) + ": " + why
			}
			p.Item("%s", why)
		}
	}
	return p.done("borestack-correct/1")
}

// short says an option with its amounts.
func (a *Advice) short(p *draft, o *Option) string {
	if len(o.Corrections) == 0 {
		return Leave.String()
	}
	var out []string
	for _, c := range o.Corrections {
		s := c.title()
		switch t := c.Kind.trait(); {
		case c.Kind == Swap:
			s += " (" + c.candidate(&a.Box.Stack) + ")"
		case c.Kind == Reclock:
			s += fmt.Sprintf(" by %s", spell.Around(c.Turn))
		case t.deep && c.Rise > 0:
			s += fmt.Sprintf(", %s to %s at %s", p.Column(c.By), p.Column(c.By+c.Rise), spell.Around(c.Clock))
		case t.deep:
			s += ", " + p.Column(c.By)
		case t.vector != nil:
			s += fmt.Sprintf(", %s towards %s", p.Column(c.By), spell.Around(c.Clock))
		}
		out = append(out, s)
	}
	return strings.Join(out, "; ")
}
