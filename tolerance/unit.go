package tolerance

import "fmt"

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

// Units returns the symbols that [ParseUnit] reads.
func Units() []string { return []string{"mm", "um", "m", "in", "thou"} }

// ParseUnit reads a unit's symbol: mm, um (or µm), m, in, thou.
func ParseUnit(s string) (Unit, error) {
	switch s {
	case "mm":
		return Millimetres, nil
	case "um", "µm", "μm":
		return Micrometres, nil
	case "m":
		return Metres, nil
	case "in":
		return Inches, nil
	case "thou":
		return Thousandths, nil
	}
	return 0, fmt.Errorf("unknown unit %q: want mm, um, m, in or thou", s)
}

// String returns the symbol.
func (u Unit) String() string {
	if int(u) < len(Units()) {
		return Units()[u]
	}
	return fmt.Sprintf("unit(%d)", uint8(u))
}

// Size returns the length of one u.
func (u Unit) Size() Length {
	switch u {
	case Micrometres:
		return Micrometre
	case Metres:
		return Metre
	case Inches:
		return Inch
	case Thousandths:
		return Thou
	}
	return Millimetre
}

// decimals resolve about a tenth of a micrometre.
func (u Unit) decimals() int {
	switch u {
	case Micrometres:
		return 1
	case Metres:
		return 7
	case Inches:
		return 5
	case Thousandths:
		return 2
	}
	return 4
}
