package tolerance

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
)

// Length is a length in millimetres. The zero value is no length, which is usable.
type Length float64

// Units of length. The inch is 25.4 mm exactly.
//
// Source: international yard and pound agreement, 1959.
const (
	Millimetre Length = 1
	Micrometre        = Millimetre / 1000
	Metre             = 1000 * Millimetre
	Inch              = 25.4 * Millimetre
	Thou              = Inch / 1000
)

// Micrometres returns l in micrometres.
func (l Length) Micrometres() float64 { return float64(l) * 1000 }

// Millimetres returns l in millimetres.
func (l Length) Millimetres() float64 { return float64(l) }

// Metres returns l in metres.
func (l Length) Metres() float64 { return float64(l) / 1000 }

// Inches returns l in inches.
func (l Length) Inches() float64 { return float64(l) / 25.4 }

// Thous returns l in thousandths of an inch.
func (l Length) Thous() float64 { return float64(l) / 0.0254 }

// In returns l in the unit u.
func (l Length) In(u Unit) float64 {
	switch u {
	case Micrometres:
		return l.Micrometres()
	case Metres:
		return l.Metres()
	case Inches:
		return l.Inches()
	case Thousandths:
		return l.Thous()
	}
	return float64(l)
}

// String prints l in millimetres to a tenth of a micrometre: "0.0125 mm".
func (l Length) String() string { return l.Format(Millimetres) }

// Format prints l in the unit u, with digits that resolve about a tenth of a micrometre or a
// hundredth of a thou.
func (l Length) Format(u Unit) string { return digits(l.In(u), u.decimals()) + " " + u.String() }

// digits prints v to n decimals without trailing zeros and without a negative zero.
func digits(v float64, n int) string {
	s := strconv.FormatFloat(v, 'f', n, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// MarshalText writes l with its unit so that it reads back to the same bits: "0.0125 mm". With
// [Length.UnmarshalText] a length is a flag of a command (flag.TextVar).
func (l Length) MarshalText() ([]byte, error) {
	if !ieee.Finite(l) {
		return nil, fault.At("length", fmt.Sprint(float64(l)), "a finite number", fault.ErrNotFinite)
	}
	return []byte(strconv.FormatFloat(float64(l), 'g', -1, 64) + " mm"), nil
}

// UnmarshalText reads what [ParseLength] reads.
func (l *Length) UnmarshalText(text []byte) error {
	v, err := ParseLength(string(text))
	if err == nil {
		*l = v
	}
	return err
}

// ParseLength reads a number with its unit: "0.012 mm", "12 um", "12 µm", "0.5 in", "3 thou". The
// unit is never guessed.
func ParseLength(s string) (Length, error) {
	v, unit, err := numberAndUnit(s)
	if err != nil {
		return 0, err
	}
	u, err := ParseUnit(unit)
	if err != nil {
		return 0, fmt.Errorf("tolerance: %q: %w", s, err)
	}
	l := Length(v)
	if u != Millimetres {
		l = Length(v * float64(u.Size()))
	}
	if math.IsInf(float64(l), 0) {
		return 0, fmt.Errorf("tolerance: %q: not finite", s)
	}
	return l, nil
}

// numberAndUnit splits "0.012 mm".
func numberAndUnit(s string) (float64, string, error) {
	const want = "a length such as \"0.012 mm\" or \"3 thou\""
	t := strings.TrimSpace(s)
	unit := strings.TrimLeft(t, "+-.0123456789eE")
	digits := t[:len(t)-len(unit)]
	unit = strings.TrimSpace(unit)
	if strings.HasPrefix(unit, ",") {
		return 0, "", fmt.Errorf("tolerance: %q: decimal comma: want a decimal point, %s", s, want)
	}
	v, err := strconv.ParseFloat(digits, 64)
	if err != nil || !ieee.Finite(v) {
		return 0, "", fmt.Errorf("tolerance: %q: not a finite number: want %s", s, want)
	}
	if unit == "" {
		return 0, "", fmt.Errorf("tolerance: %q: no unit: want %s", s, want)
	}
	return v, unit, nil
}

// Unit is a unit of length. The zero value is millimetres.
type Unit uint8

// The units that records use.
const (
	Millimetres Unit = iota
	Micrometres
	Metres
	Inches
	Thousandths
)

// units are the symbols of the units, their sizes, and the decimals that resolve about a tenth of a
// micrometre.
var units = [...]struct {
	symbol   string
	size     Length
	decimals int
}{{"mm", Millimetre, 4}, {"um", Micrometre, 1}, {"m", Metre, 7}, {"in", Inch, 5}, {"thou", Thou, 2}}

// Units returns the symbols that [ParseUnit] reads.
func Units() (symbols []string) {
	for _, u := range units {
		symbols = append(symbols, u.symbol)
	}
	return symbols
}

// ParseUnit reads a unit's symbol: mm, um (or µm), m, in, thou.
func ParseUnit(s string) (Unit, error) {
	if s == "µm" || s == "μm" { // the sign for micro, and the Greek letter
		return Micrometres, nil
	}
	if i := slices.Index(Units(), s); i >= 0 {
		return Unit(i), nil
	}
	return 0, fmt.Errorf("unknown unit %q: want mm, um, m, in or thou", s)
}

// String returns the symbol.
func (u Unit) String() string {
	if int(u) < len(units) {
		return units[u].symbol
	}
	return fmt.Sprintf("unit(%d)", uint8(u))
}

// known is the unit, or millimetres where there is none such.
func (u Unit) known() Unit {
	if int(u) < len(units) {
		return u
	}
	return Millimetres
}

// Size returns the length of one u.
func (u Unit) Size() Length { return units[u.known()].size }

// decimals resolve about a tenth of a micrometre.
func (u Unit) decimals() int { return units[u.known()].decimals }
