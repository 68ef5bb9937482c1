package report

import (
	"fmt"
	"math"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

type printer struct{ spell.Lengths }

func printerOf(rec *record.Record) printer {
	u, err := tolerance.ParseUnit(rec.Units.Length)
	if err != nil {
		u = tolerance.Millimetres
	}
	return printer{spell.Lengths{Unit: u}}
}

// telling is a deviation that must not look like nothing: what is too small to print is said to be so.
func (p printer) telling(l tolerance.Length) string {
	if math.Abs(float64(l)) <= noOffset || p.Plain(l) != "0" {
		return p.Length(l)
	}
	least := p.Least() + " " + p.Unit.String()
	if l < 0 {
		return "between -" + least + " and 0"
	}
	return "under " + least
}

func (p printer) unitWord() string {
	return [...]string{"millimetres", "micrometres", "metres", "inches", "thousandths of an inch"}[p.Unit]
}

// point is a position across the shaft line, without unit.
func (p printer) point(v align.Vec2) string { return "(" + p.Bare(v.X) + ", " + p.Bare(v.Y) + ")" }

func (p printer) in(l tolerance.Length) float64 { return unsigned(l.In(p.Unit)) }

// optional is a length in the record's unit; nil without one.
func (p printer) optional(o tolerance.Optional[tolerance.Length]) *float64 {
	if !o.Given {
		return nil
	}
	v := p.in(o.Value)
	return &v
}

// cell is a deviation, in a column of lengths.
func (p printer) cell(l tolerance.Length) paper.Cell {
	return paper.Number(p.Plain(l), p.in(l), p.Unit.String())
}

// optionalCell is the same; a dash without one.
func (p printer) optionalCell(o tolerance.Optional[tolerance.Length]) paper.Cell {
	if !o.Given {
		return paper.Cell{Text: "-"}
	}
	return p.cell(o.Value)
}

// withUnit is a deviation in a column that does not name the unit.
func (p printer) withUnit(l tolerance.Length) paper.Cell {
	return paper.Number(p.Length(l), p.in(l), p.Unit.String())
}

// slope is a slope without its unit.
func (p printer) slope(v float64) string { return spell.Fixed(v*1000, 2, 0) }

// slopeCell is the size of a slope, in a column of slopes.
func (p printer) slopeCell(s align.Slope) paper.Cell {
	return paper.Number(p.slope(s.Size()), s.Size()*1000, p.SlopeUnit())
}

// shareCell is a share in percent; a dash without one.
func shareCell(o tolerance.Optional[float64]) paper.Cell {
	if !o.Given {
		return paper.Cell{Text: "-"}
	}
	return paper.Number(spell.Percent(o.Value), o.Value, "")
}

// fine tells two figures of what is smaller than a gauge shows: uncertainties and ratios.
func (p printer) fine() printer {
	p.Gauge = false
	return p
}

// spoken says "part/bore" as people do: "the plate bearing", or "the tail bush" for "tail/tail bush".
func spoken(at string) string {
	part, bore, ok := strings.Cut(at, "/")
	switch {
	case !ok:
		return "the " + spell.Name(at)
	case strings.Contains(strings.ToLower(bore), strings.ToLower(part)):
		return "the " + spell.Name(bore)
	}
	return "the " + spell.Name(part) + " " + spell.Name(bore)
}

// guardBand is the guard band of a verdict, in standard uncertainties.
const guardBand = tolerance.GuardFactor95

// shown spells an output's numbers, which come in its base unit.
type shown struct {
	p printer
	quantity.Entry
}

func (t *teller) quantity(o align.Output) shown { return shown{t.p, quantity.Of(o.What)} }

func (q shown) show(v float64) string { return q.Measure.Tell(v, q.p.Lengths, q.p.telling) }

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

// bounds says the limits; nothing of what is yes or no.
func (q shown) bounds(l tolerance.Limits) string {
	return spell.If(q.Measure != quantity.YesNo, spell.Bounds(l, q.show))
}

// outputWords says what the output of a limit is, with the convention that it is read in, and the state.
func (t *teller) outputWords(l record.Limit) string {
	s := outputShort(l.Output)
	if read := quantity.Of(l.Output.What).Read; read != "" {
		s += " (" + read + ")"
	}
	return s + inState(l.State)
}

// inState is behind what is said of a state; empty as measured.
func inState(state string) string {
	if state == "" {
		return ""
	}
	return " in state " + spell.Name(state)
}

func outputShort(o align.Output) string {
	switch {
	case quantity.Of(o.What).Measure != quantity.YesNo:
		return quantity.Say(o, spell.Name)
	case o.Of == "":
		return "every joint assembles"
	}
	return spell.Name(o.Of) + " assembles"
}

// clauses are what a sentence is put together from.
type clauses []string

// say adds those that are not empty.
func (c *clauses) say(list ...string) {
	*c = append(*c, of(list...)...)
}

func (c *clauses) add(format string, args ...any) { *c = append(*c, fmt.Sprintf(format, args...)) }

// when adds a clause that holds where ok.
func (c *clauses) when(ok bool, format string, args ...any) {
	if ok {
		c.add(format, args...)
	}
}
