package report

import (
	"math"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
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
