package fits

import (
	"fmt"
	"slices"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Bearing is a type of radial bearing. The zero value is the deep groove ball bearing.
type Bearing uint8

// The types whose clearances are tabled, both with cylindrical bore.
const (
	DeepGroove        Bearing = iota // deep groove ball bearings
	CylindricalRoller                // cylindrical roller bearings; needle bearings with machined rings go by the same table (from memory)
)

// String returns "deep groove ball bearing" or "cylindrical roller bearing".
func (b Bearing) String() string {
	if names := [...]string{"deep groove ball bearing", "cylindrical roller bearing"}; int(b) < len(names) {
		return names[b]
	}
	return fmt.Sprintf("bearing(%d)", uint8(b))
}

// Group is a group of radial internal clearance. The zero value is CN, normal.
type Group uint8

// The groups: C2 is tighter than normal, C3 to C5 ever looser.
const (
	CN Group = iota
	C2
	C3
	C4
	C5
)

// String returns "CN", "C2", …
func (g Group) String() string {
	if names := groupNames(); int(g) < len(names) {
		return names[g]
	}
	return fmt.Sprintf("group(%d)", uint8(g))
}

func groupNames() []string { return []string{"CN", "C2", "C3", "C4", "C5"} }

// InternalClearance returns the radial internal clearance of a bearing by itself, not mounted and
// not loaded, at 20 °C, by its bore: over 6 up to and including 100 mm for deep groove ball
// bearings, up to 120 mm for cylindrical rollers.
//
// The trade's "radial clearance" is how far one ring moves from one side to the other: a diametral
// clearance, and typed as one here.
//
// Source: ISO 5753-1:2009 (values found on public pages of makers: three for deep groove ball
// bearings, one for cylindrical rollers).
func InternalClearance(b Bearing, bore tolerance.Length, g Group) (Clearance, error) {
	over, table := 6.0, deepGrooveClearance()
	if b == CylindricalRoller {
		over, table = 0, cylindricalRollerClearance()
	} else if b != DeepGroove {
		return Clearance{}, fault.At("bearing", b.String(), "a deep groove ball bearing or a cylindrical roller bearing", fault.ErrOutOfRange)
	}
	if int(g) >= len(groupNames()) {
		return Clearance{}, fault.At("group", g.String(), "C2, CN, C3, C4 or C5", fault.ErrOutOfRange)
	}
	mm := bore.Millimetres()
	if err := outside("bore", mm, over, table[len(table)-1].to, b.String()+"s"); err != nil {
		return Clearance{}, err
	}
	r := table[slices.IndexFunc(table, func(r clearanceRow) bool { return mm <= r.to })].um[g]
	return Clearance{tolerance.Diametral(micrometres(r[0])), tolerance.Diametral(micrometres(r[1]))}, nil
}

// clearanceRow is the least and the greatest clearance in micrometres, by [Group], up to and
// including a bore.
type clearanceRow struct {
	to float64
	um [5][2]float64
}

func deepGrooveClearance() []clearanceRow {
	return []clearanceRow{ // CN, C2, C3, C4, C5
		{10, [...][2]float64{{2, 13}, {0, 7}, {8, 23}, {14, 29}, {20, 37}}},
		{18, [...][2]float64{{3, 18}, {0, 9}, {11, 25}, {18, 33}, {25, 45}}},
		{24, [...][2]float64{{5, 20}, {0, 10}, {13, 28}, {20, 36}, {28, 48}}},
		{30, [...][2]float64{{5, 20}, {1, 11}, {13, 28}, {23, 41}, {30, 53}}},
		{40, [...][2]float64{{6, 20}, {1, 11}, {15, 33}, {28, 46}, {40, 64}}},
		{50, [...][2]float64{{6, 23}, {1, 11}, {18, 36}, {30, 51}, {45, 73}}},
		{65, [...][2]float64{{8, 28}, {1, 15}, {23, 43}, {38, 61}, {55, 90}}},
		{80, [...][2]float64{{10, 30}, {1, 15}, {25, 51}, {46, 71}, {65, 105}}},
		{100, [...][2]float64{{12, 36}, {1, 18}, {30, 58}, {53, 84}, {75, 120}}},
	}
}

func cylindricalRollerClearance() []clearanceRow {
	return []clearanceRow{ // CN, C2, C3, C4, C5
		{24, [...][2]float64{{20, 45}, {0, 25}, {35, 60}, {50, 75}, {65, 90}}},
		{30, [...][2]float64{{20, 45}, {0, 25}, {35, 60}, {50, 75}, {70, 95}}},
		{40, [...][2]float64{{25, 50}, {5, 30}, {45, 70}, {60, 85}, {80, 105}}},
		{50, [...][2]float64{{30, 60}, {5, 35}, {50, 80}, {70, 100}, {95, 125}}},
		{65, [...][2]float64{{40, 70}, {10, 40}, {60, 90}, {80, 110}, {110, 140}}},
		{80, [...][2]float64{{40, 75}, {10, 45}, {65, 100}, {90, 125}, {130, 165}}},
		{100, [...][2]float64{{50, 85}, {15, 50}, {75, 110}, {105, 140}, {155, 190}}},
		{120, [...][2]float64{{50, 90}, {15, 55}, {85, 125}, {125, 165}, {180, 220}}},
	}
}

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
	if err := seat.validate(); err != nil {
		return ring, on, err
	}
	if seat.hole() != hole {
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
