package report

import (
	"math"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// printer spells numbers in the record's unit.
type printer struct {
	unit tolerance.Unit
}

func printerOf(rec *record.Record) printer {
	u, err := tolerance.ParseUnit(rec.Units.Length)
	if err != nil {
		u = tolerance.Millimetres
	}
	return printer{u}
}

// plain is a deviation without its unit: a micrometre resolved, two figures of anything smaller, "0" for what is smaller still.
func (p printer) plain(l tolerance.Length) string { return spell.Plain(l, p.unit) }

// length is a deviation with its unit.
func (p printer) length(l tolerance.Length) string { return p.plain(l) + " " + p.unit.String() }

// telling is a deviation that must not look like nothing: what is too small to print is said to be so.
func (p printer) telling(l tolerance.Length) string {
	if math.Abs(float64(l)) <= noOffset || p.plain(l) != "0" {
		return p.length(l)
	}
	least := strconv.FormatFloat(math.Pow10(-spell.Decimals(p.unit)-spell.Finer), 'f', spell.Decimals(p.unit)+spell.Finer, 64) + " " + p.unit.String()
	if l < 0 {
		return "between -" + least + " and 0"
	}
	return "under " + least
}

// short is a deviation with its unit, without trailing zeros, and in millimetres beside inches.
func (p printer) short(l tolerance.Length) string {
	s := spell.Bare(l, p.unit) + " " + p.unit.String()
	if p.unit == tolerance.Inches || p.unit == tolerance.Thousandths {
		s += " (" + printer{}.short(l) + ")"
	}
	return s
}

// unitWord is the record's unit in full.
func (p printer) unitWord() string {
	switch p.unit {
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

// both is a deviation with its unit, and in millimetres beside inches.
func (p printer) both(l tolerance.Length) string {
	if p.unit != tolerance.Inches && p.unit != tolerance.Thousandths {
		return p.length(l)
	}
	return p.length(l) + " (" + printer{}.length(l) + ")"
}

// size is a dimension with its unit: no more decimals than a deviation, and no trailing zeros.
func (p printer) size(l tolerance.Length) string { return p.bare(l) + " " + p.unit.String() }

// bare is a dimension without its unit.
func (p printer) bare(l tolerance.Length) string { return spell.Bare(l, p.unit) }

// point is a position across the shaft line, without unit.
func (p printer) point(v align.Vec2) string { return "(" + p.bare(v.X) + ", " + p.bare(v.Y) + ")" }

// in is a length in the record's unit.
func (p printer) in(l tolerance.Length) float64 { return unsigned(l.In(p.unit)) }

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
	return counted(p.plain(l), p.in(l), p.unit.String())
}

// withUnit is a deviation in a column that does not name the unit.
func (p printer) withUnit(l tolerance.Length) paper.Cell {
	return counted(p.length(l), p.in(l), p.unit.String())
}

// counted is a number as it is spelled, and in full where it is one.
func counted(text string, v float64, unit string) paper.Cell {
	if v = unsigned(v); v-v != 0 {
		return paper.Cell{Text: text}
	}
	return paper.Cell{Text: text, Value: &v, Unit: unit}
}

// slopeCell is the size of a slope, in a column of milliradians.
func slopeCell(s align.Slope) paper.Cell {
	return counted(spell.Mrad(steepness(s)), steepness(s)*1000, "mrad")
}

// shareCell is a share in percent; a dash without one.
func shareCell(o tolerance.Optional[float64]) paper.Cell {
	if !o.Given {
		return paper.Cell{Text: "-"}
	}
	return counted(spell.Percent(o.Value), o.Value, "")
}

// verdictCell is the word of a verdict.
func verdictCell(w study.Word) paper.Cell { return paper.Cell{Text: w.String(), Verdict: true} }

// ratio is a slope with its unit.
func ratio(v float64) string { return spell.Mrad(v) + " mrad" }

func sizeOf(v align.Vec2) tolerance.Length {
	return tolerance.Length(math.Hypot(float64(v.X), float64(v.Y)))
}

func clockOf(v align.Vec2) tolerance.Angle { return tolerance.Clock(float64(v.X), float64(v.Y)) }

func steepness(s align.Slope) float64 { return math.Hypot(s.X, s.Y) }

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
