package spell

import (
	"math"
	"strconv"
	"strings"

	"example.com/borestack/tolerance"
)

// onDivision is the share of a division, or of a last digit, that a number may be off it by: rounding.
const onDivision = 1e-6

// most digits that a division of a dial is looked for in.
const divisionDigits = 5

// Decimals are those of the divisions, or what a good gauge resolves where they are not round in the unit.
func (s Lengths) Decimals() int {
	size := s.Division.In(s.Unit)
	for n := range divisionDigits + 1 {
		if v := size * math.Pow10(n); v > 0.5 && math.Abs(v-math.Round(v)) < onDivision {
			return n
		}
	}
	return Decimals(s.Unit)
}

// Read is a length as a dial shows it, with its unit, and in millimetres beside inches.
func (s Lengths) Read(l tolerance.Length) string { return s.shown(l, "") }

// Signed is the same with its sign.
func (s Lengths) Signed(l tolerance.Length) string { return s.shown(l, "+") }

// Held is what a dial is to read: in its divisions, and finer only where no division could be had.
func (s Lengths) Held(l tolerance.Length) string {
	n := float64(l / s.Division)
	if s.Division > 0 && math.Abs(n-math.Round(n)) > onDivision {
		if l > 0 {
			return "+" + s.Both(l)
		}
		return s.Both(l)
	}
	return s.Signed(l)
}

func (s Lengths) shown(l tolerance.Length, plus string) string {
	return s.beside(l, func(s Lengths, l tolerance.Length) string {
		v := l.In(s.Unit)
		digits := strconv.FormatFloat(math.Abs(v), 'f', s.Decimals(), 64)
		switch {
		case strings.Trim(digits, "0.") == "":
		case v < 0:
			digits = "-" + digits
		default:
			digits = plus + digits
		}
		return digits + " " + s.Unit.String()
	})
}

// Column is a length without its unit to a micrometre, for columns.
func (s Lengths) Column(l tolerance.Length) string {
	v := l.In(s.Unit)
	if math.Abs(v) < 0.5*math.Pow10(-Decimals(s.Unit)) {
		v = 0
	}
	return strconv.FormatFloat(v, 'f', Decimals(s.Unit), 64)
}

// Drawn is a dimension as on a drawing, with its unit and without trailing zeros.
func (s Lengths) Drawn(l tolerance.Length) string {
	return Trimmed(l.In(s.Unit), Decimals(s.Unit)) + " " + s.Unit.String()
}

// Direction is a clock position and its angle: "half past 4 (135°)".
func Direction(a tolerance.Angle) string { return a.Normalized().Hours() + " (" + Around(a) + ")" }

// Around is an angle to a tenth of a degree, from 0 up to 360.
func Around(a tolerance.Angle) string {
	tenths := math.Mod(math.Round(a.Normalized().Degrees()*10), 3600)
	return strconv.FormatFloat(math.Abs(tenths)/10, 'f', -1, 64) + "°"
}
