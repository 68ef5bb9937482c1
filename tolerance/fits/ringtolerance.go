package fits

import (
	"slices"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// ringRow is by how much the mean diameter of a ring of class Normal may be too small, in
// micrometres, up to and including a diameter in mm; the upper deviation is zero.
type ringRow struct{ to, lower float64 }

// innerRing and outerRing are the tables of mean diameters.
//
// Source: ISO 492:2014, Tables 1 and 2 (from memory; also found in public tables of makers).
func innerRing() (over float64, table []ringRow) {
	return 2.5, []ringRow{{10, -8}, {18, -8}, {30, -10}, {50, -12}, {80, -15}, {120, -20}, {180, -25}}
}

func outerRing() (over float64, table []ringRow) {
	return 18, []ringRow{{30, -9}, {50, -11}, {80, -13}, {120, -15}, {150, -18}, {180, -25}, {250, -30}}
}

// ringSeat is the interval of a ring's mean diameter and that of its seat, of a class of holes or shafts.
func ringSeat(path, of string, diameter tolerance.Length, seat Class, hole bool, over float64, table []ringRow) (ring, on interval, err error) {
	if err := seat.Validate(); err != nil {
		return ring, on, err
	}
	if seat.Hole() != hole {
		if hole {
			return ring, on, fault.At("housing", seat.String(), "a class of holes, in capitals", fault.ErrConflict)
		}
		return ring, on, fault.At("shaft", seat.String(), "a class of shafts, in small letters", fault.ErrConflict)
	}
	mm := diameter.Millimetres()
	if err := outside(path, mm, over, table[len(table)-1].to, of+" of class Normal"); err != nil {
		return ring, on, err
	}
	i := slices.IndexFunc(table, func(r ringRow) bool { return mm <= r.to })
	on, err = seat.interval(diameter)
	return interval{lower: table[i].lower}, on, err
}

// ShaftSeat returns how the inner ring of a bearing of class Normal, of a bore over 2.5 up to and
// including 180 mm, fits a shaft of class shaft: the ring's bore is the hole.
//
// Source: ISO 492:2014, Table 1, and ISO 286-1:2010; see [Class.At].
func ShaftSeat(bore tolerance.Length, shaft Class) (Mating, error) {
	over, table := innerRing()
	ring, seat, err := ringSeat("bore", "inner rings", bore, shaft, false, over, table)
	if err != nil {
		return Mating{}, err
	}
	return between(ring, seat), nil
}

// HousingSeat returns how the outer ring of a bearing of class Normal, of an outside diameter over
// 18 up to and including 250 mm, fits a housing bore of class housing: the ring's outside is the
// shaft.
//
// Source: ISO 492:2014, Table 2, and ISO 286-1:2010; see [Class.At].
func HousingSeat(outside tolerance.Length, housing Class) (Mating, error) {
	over, table := outerRing()
	ring, seat, err := ringSeat("outside", "outer rings", outside, housing, true, over, table)
	if err != nil {
		return Mating{}, err
	}
	return between(seat, ring), nil
}
