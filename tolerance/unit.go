package tolerance

import (
	"fmt"
	"slices"
)

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
