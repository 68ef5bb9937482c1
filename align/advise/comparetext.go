package advise

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/sheet"
	"example.com/borestack/tolerance"
)

// Page is the ranking, who fits whom, and what the gauge can tell, lengths in the unit.
func (c *Comparison) Page(unit tolerance.Unit) *sheet.Page {
	p := draftOf("Which part to take", c.Title, unit)
	p.heading("ranking", "Ranking, best first")
	table := p.Table(paper.Words(""), paper.Words(c.Places...), paper.Words("verdict"), paper.Numbers(c.unit(p), "use"), paper.Words("use driven by"))
	label, size := quantity.Of(c.Of.What).Measure.Unit(tolerance.Millimetres)
	for i := range c.Fits {
		f := &c.Fits[i]
		row := paper.Cells(strconv.Itoa(i + 1))
		for _, k := range f.Picks {
			row = append(row, paper.Cell{Text: spell.Either(k.Index < 0, "in place", k.Name)})
		}
		use := paper.Cell{Text: "-"}
		if l := f.Result.Assembly.Line; l != nil && l.Use.Given {
			use = paper.Number(fmt.Sprintf("%.0f %%", 100*l.Use.Value), l.Use.Value, "")
		}
		left := paper.Cell{Text: c.show(p, c.value(f).Value)}
		if v, ok := c.value(f).Get(); ok {
			left = paper.Number(left.Text, v/size, label)
		}
		table.Row(nil, append(row, paper.Verdict(f.Result.Word), left, use, paper.Cell{Text: cmp.Or(f.Governs, "-")})...)
	}
	p.When(c.Of.What == align.Margin, "margin: what is left of the radial room for straight shafts, at the worst float of the joints; use is at rest")
	c.matrix(p)
	c.differences(p)
	if len(c.Refused) > 0 {
		p.heading("refused", "Does not go together")
		for _, r := range c.Refused {
			p.Item("%s: %v", r.Place, r.Err)
		}
	}
	return p.done("borestack-compare/1")
}

func (c *Comparison) unit(p *draft) string {
	if c.Of.What == align.Margin {
		return "margin " + p.Unit.String()
	}
	return outputWords(Effect{Output: c.Of})
}

func (c *Comparison) show(p *draft, v float64) string {
	if c.Of.What == align.Margin {
		return p.Plain(tolerance.Length(v))
	}
	return p.value(Effect{Output: c.Of}, tolerance.Given(v))
}

// matrix says who fits whom, where two places have candidates.
func (c *Comparison) matrix(p *draft) {
	if len(c.Places) != 2 {
		return
	}
	cell := map[[2]string]string{}
	var names [2][]string // down, and across
	for i := range c.Fits {
		var at [2]string
		for n, k := range c.Fits[i].Picks {
			if at[n] = k.label(); !slices.Contains(names[n], at[n]) {
				names[n] = append(names[n], at[n])
			}
		}
		cell[at] = fmt.Sprintf("%s %s", c.Fits[i].Result.Word, c.show(p, c.value(&c.Fits[i]).Value))
	}
	p.heading("matrix", "Who fits whom: verdict and %s", c.unit(p))
	table := p.Table(paper.Words(""), paper.Words(names[1]...))
	for _, a := range names[0] {
		row := spell.Mapped(names[1], func(b string) string { return cmp.Or(cell[[2]string{a, b}], "-") })
		table.Row(nil, paper.Cells(append([]string{a}, row...)...)...)
	}
}

// mostDifferences is how many a page shows.
const mostDifferences = 12

// differences says what the gauge can tell.
func (c *Comparison) differences(p *draft) {
	if len(c.Differences) == 0 {
		return
	}
	p.heading("gauge", "What the gauge can tell (95 %%; readings that both share cancel)")
	for n, d := range c.Differences {
		if n == mostDifferences {
			break // the rest is in the data
		}
		a, b := pickNames(c.Fits[d.Better].Picks), pickNames(c.Fits[d.Worse].Picks)
		p.Item("%s", c.differs(p, &d, a, b))
	}
}

// differs says which of two fits comes first and by what: a number that is more than nothing where the number decides, and the verdicts where they do.
func (c *Comparison) differs(p *draft, d *Difference, a, b string) string {
	more := c.show(p, math.Abs(d.By))
	alike := more == c.show(p, 0)
	by := fmt.Sprintf("%s before %s by its verdict, %s against %s", a, b, c.Fits[d.Better].Result.Word, c.Fits[d.Worse].Result.Word)
	switch {
	case d.ByVerdict && alike:
		return by
	case d.ByVerdict && d.By < 0:
		return fmt.Sprintf("%s, although it has %s less left", by, more)
	case d.ByVerdict:
		return fmt.Sprintf("%s, and by %s", by, more) + c.known(p, d)
	case alike:
		return fmt.Sprintf("%s and %s: alike", a, b)
	case d.U > 0 && !d.Telling:
		return fmt.Sprintf("%s and %s: %s%s, a difference smaller than your gauge can tell; readings that bring its standard uncertainty from %s to %s would", a, b, more, c.known(p, d), c.show(p, d.U), c.show(p, d.Needed))
	}
	return fmt.Sprintf("%s before %s by %s", a, b, more) + c.known(p, d)
}

// known says how well a difference is known.
func (c *Comparison) known(p *draft, d *Difference) string {
	if d.U == 0 {
		return "; no stated uncertainty of a reading moves it where the joints rest"
	}
	return fmt.Sprintf(" (%s to %s)", c.show(p, d.Interval[0]), c.show(p, d.Interval[1]))
}
