package report

import (
	"fmt"

	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// figure is a number to be seen at a glance.
type figure struct {
	What  string
	Words bool // it is told in words
	paper.Cell
}

// figures are the numbers that the verdict rests on.
func (t *teller) figures() []figure {
	var out []figure
	add := func(what string, c paper.Cell, small ...string) {
		c.Small = small
		out = append(out, figure{what, c.Value == nil, c})
	}
	if n := len(t.res.Verdicts); n > 0 {
		held := 0
		for i := range t.res.Verdicts {
			if t.res.Verdicts[i].Word == tolerance.Pass {
				held++
			}
		}
		add("Limits that pass", paper.Number(fmt.Sprintf("%d of %d", held, n), float64(held), ""))
	}
	if l := t.res.Assembly.Line; l != nil && assembles(t.res.Assembly) {
		var over []string
		if r := l.OverFloat; r != nil {
			over = append(over, t.p.Plain(r.WorstMargin)+" to "+t.p.Length(r.BestMargin)+" over the float")
		}
		add("Margin of the shaft line (radial)", paper.Number(t.p.Both(l.Margin), t.p.in(l.Margin), t.p.Unit.String()), over...)
		if l.Use.Given {
			add("Use of clearance", shareCell(l.Use))
		}
		if g := names(l.Governs); len(g) > 0 {
			add("What drives the use", paper.Cell{Text: spell.Listed(g, 3)})
		}
		if g := names(l.MarginGoverns); len(g) > 0 {
			add("What caps the margin", paper.Cell{Text: spell.Listed(g, 3)})
		}
	}
	if n := len(t.res.Doubts); n > 0 {
		add("In doubt", paper.Number(fmt.Sprint(n), float64(n), ""), t.at.place(t.res.Doubts[0].Path))
	}
	for _, q := range t.res.Variations {
		least := leastYield(q)
		if least == nil {
			continue
		}
		what := "Least yield of a batch"
		if q.Because == "gauge" {
			what = "Least probability for this box"
		}
		add(what, paper.Number(twoDecimals(least.Sampled.Yield)+" %", least.Sampled.Yield, ""), outputShort(least.Limit.Output))
	}
	return out
}
