package spell

import (
	"math"
	"strconv"

	"example.com/borestack/tolerance"
)

// Lengths spells lengths in one unit. Gauge: with the digits that a gauge shows and no more. Division is that of the dial or
// the tool in hand; 0: that of a good gauge.
type Lengths struct {
	Unit     tolerance.Unit
	Gauge    bool
	Division tolerance.Length
}

// Plain is a deviation without its unit: a micrometre resolved, two figures of anything smaller but for Gauge, "0" for what is
// smaller still.
func (s Lengths) Plain(l tolerance.Length) string {
	return Fixed(l.In(s.Unit), Decimals(s.Unit), s.finer())
}

// finer is how many decimals more a small length gets.
func (s Lengths) finer() int {
	if s.Gauge {
		return 0
	}
	return Finer
}

// Least is the least length that is told, without its unit: what is smaller is "0".
func (s Lengths) Least() string {
	n := Decimals(s.Unit) + s.finer()
	return strconv.FormatFloat(math.Pow10(-n), 'f', n, 64)
}

// Length is a deviation with its unit.
func (s Lengths) Length(l tolerance.Length) string { return s.Plain(l) + " " + s.Unit.String() }

// Both is a deviation with its unit, and in millimetres beside inches.
func (s Lengths) Both(l tolerance.Length) string { return s.beside(l, Lengths.Length) }

// Bare is a dimension without its unit: no more decimals than a deviation, and no trailing zeros.
func (s Lengths) Bare(l tolerance.Length) string {
	return Trimmed(l.In(s.Unit), Decimals(s.Unit)+s.finer())
}

// Size is a dimension with its unit.
func (s Lengths) Size(l tolerance.Length) string { return s.Bare(l) + " " + s.Unit.String() }

// Sizes is a dimension with its unit, and in millimetres beside inches.
func (s Lengths) Sizes(l tolerance.Length) string { return s.beside(l, Lengths.Size) }

// Place is a position along the shaft line, without its unit.
func (s Lengths) Place(l tolerance.Length) string {
	return Trimmed(l.In(s.Unit), max(Decimals(s.Unit)-1, 0))
}

// beside spells a length, and behind inches and thousandths of an inch the same in millimetres.
func (s Lengths) beside(l tolerance.Length, as func(Lengths, tolerance.Length) string) string {
	out := as(s, l)
	if s.Unit == tolerance.Inches || s.Unit == tolerance.Thousandths {
		s.Unit = tolerance.Millimetres
		out += " (" + as(s, l) + ")"
	}
	return out
}

// SlopeUnit is the unit of slopes: the same number in millimetres a metre and in thousandths of an inch an inch.
func (s Lengths) SlopeUnit() string {
	if s.Unit == tolerance.Inches || s.Unit == tolerance.Thousandths {
		return "thou/in"
	}
	return "mm/m"
}

// Slope is a slope with its unit.
func (s Lengths) Slope(v float64) string { return Fixed(v*1000, 2, 0) + " " + s.SlopeUnit() }
