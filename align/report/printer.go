package report

import (
	"math"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// printer spells numbers in the record's unit.
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

// unitWord is the record's unit in full.
func (p printer) unitWord() string {
	switch p.Unit {
	case tolerance.Micrometres:
		return "micrometres"
	case tolerance.Metres:
		return "metres"
	case tolerance.Inches:
		return "inches"
	case tolerance.Thousandths:
		return "thousandths of an inch"
	}
	return "millimetres"
}

// point is a position across the shaft line, without unit.
func (p printer) point(v align.Vec2) string { return "(" + p.Bare(v.X) + ", " + p.Bare(v.Y) + ")" }

// in is a length in the record's unit.
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

// withUnit is a deviation in a column that does not name the unit.
func (p printer) withUnit(l tolerance.Length) paper.Cell {
	return paper.Number(p.Length(l), p.in(l), p.Unit.String())
}

// slopeUnit is the unit of slopes: the same number in millimetres a metre and in thousandths of an inch an inch.
func (p printer) slopeUnit() string {
	if p.Unit == tolerance.Inches || p.Unit == tolerance.Thousandths {
		return "thou/in"
	}
	return "mm/m"
}

// slope is a slope without its unit.
func (p printer) slope(v float64) string { return spell.Fixed(v*1000, 2, 0) }

// slopeCell is the size of a slope, in a column of slopes.
func (p printer) slopeCell(s align.Slope) paper.Cell {
	return paper.Number(p.slope(s.Size()), s.Size()*1000, p.slopeUnit())
}

// shareCell is a share in percent; a dash without one.
func shareCell(o tolerance.Optional[float64]) paper.Cell {
	if !o.Given {
		return paper.Cell{Text: "-"}
	}
	return paper.Number(spell.Percent(o.Value), o.Value, "")
}

// ratio is a slope with its unit.
func (p printer) ratio(v float64) string { return p.slope(v) + " " + p.slopeUnit() }

// degrees is a turn, to a thousandth of a degree: no finer than a dial at the rim can tell.
func (p printer) degrees(a tolerance.Angle) string { return spell.Fixed(a.Degrees(), 3, 0) + "°" }

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
