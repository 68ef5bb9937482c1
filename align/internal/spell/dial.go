package spell

import (
	"math"
	"strconv"
	"strings"

	"example.com/borestack/tolerance"
)

// Dial spells what a dial or a tool in hand shows, in its divisions. The zero value has the digits of a good gauge, in mm.
type Dial struct {
	Lengths
	Division tolerance.Length // 0: not known
}

// onDivision is the share of a division, or of a last digit, that a number may be off it by: rounding.
const onDivision = 1e-6

// most digits that a division of a dial is looked for in.
const divisionDigits = 5

// Decimals are those of the divisions, or what a good gauge resolves where they are not round in the unit.
func (d Dial) Decimals() int {
	size := d.Division.In(d.Unit)
	for n := range divisionDigits + 1 {
		if v := size * math.Pow10(n); v > 0.5 && math.Abs(v-math.Round(v)) < onDivision {
			return n
		}
	}
	return Decimals(d.Unit)
}

// Read is a length as a dial shows it, with its unit, and in millimetres beside inches.
func (d Dial) Read(l tolerance.Length) string { return d.shown(l, "") }

// Signed is the same with its sign.
func (d Dial) Signed(l tolerance.Length) string { return d.shown(l, "+") }

// Held is what a dial is to read: in its divisions, and finer only where no division could be had.
func (d Dial) Held(l tolerance.Length) string {
	n := float64(l / d.Division)
	if d.Division > 0 && math.Abs(n-math.Round(n)) > onDivision {
		if l > 0 {
			return "+" + d.Both(l)
		}
		return d.Both(l)
	}
	return d.Signed(l)
}

func (d Dial) shown(l tolerance.Length, plus string) string {
	return d.beside(l, func(s Lengths, l tolerance.Length) string {
		v := l.In(s.Unit)
		digits := strconv.FormatFloat(math.Abs(v), 'f', Dial{s, d.Division}.Decimals(), 64)
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
