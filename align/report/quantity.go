package report

import (
	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// guardBand is the guard band of a verdict, in standard uncertainties.
const guardBand = tolerance.GuardFactor95

// shown spells an output's numbers, which come in its base unit.
type shown struct {
	p printer
	quantity.Entry
}

func (t *teller) quantity(o align.Output) shown { return shown{t.p, quantity.Of(o.What)} }

// show is a number of the output with its unit.
func (q shown) show(v float64) string {
	switch q.Measure {
	case quantity.Share:
		return spell.Percent(v)
	case quantity.Slope:
		return q.p.ratio(v)
	case quantity.Force:
		return newtons(v)
	case quantity.Turn:
		return q.p.degrees(tolerance.Angle(v))
	case quantity.YesNo:
		if v >= 1 {
			return "yes"
		}
		return "no"
	}
	return q.p.telling(tolerance.Length(v))
}

// sure is an uncertainty of the output with its unit: two figures, whatever a gauge shows.
func (q shown) sure(v float64) string {
	q.p.Gauge = false
	return q.show(v)
}

// cell is a number of the output, in the unit that the record has it in.
func (q shown) cell(v float64) paper.Cell {
	size := q.Measure.InRecord(q.p.Unit)
	label, labelled := q.Measure.Unit(q.p.Unit)
	if labelled != size { // a record has it as a ratio
		label = ""
	}
	return paper.Number(q.show(v), v/size, label)
}

// bounds says the limits: "at least 0 mm", "at most 0.05 mm", "from 0.1 to 0.2 mm".
func (q shown) bounds(least, greatest tolerance.Optional[float64]) string {
	switch {
	case q.Measure == quantity.YesNo:
		return ""
	case least.Given && greatest.Given:
		return "from " + q.show(least.Value) + " to " + q.show(greatest.Value)
	case least.Given:
		return "at least " + q.show(least.Value)
	case greatest.Given:
		return "at most " + q.show(greatest.Value)
	}
	return "without a limit"
}

// outputWords says what a limit is on.
func (t *teller) outputWords(l record.Limit) string {
	s := outputName(l.Output)
	if l.State != "" {
		s += " in state " + spell.Name(l.State)
	}
	return s
}

// outputName says what an output is, with the convention that it is read in.
func outputName(o align.Output) string {
	s := outputShort(o)
	if read := quantity.Of(o.What).Read; read != "" {
		s += " (" + read + ")"
	}
	return s
}

// outputShort says what an output is.
func outputShort(o align.Output) string {
	switch {
	case quantity.Of(o.What).Measure != quantity.YesNo:
		return quantity.Say(o, spell.Name)
	case o.Of == "":
		return "every joint assembles"
	}
	return spell.Name(o.Of) + " assembles"
}
