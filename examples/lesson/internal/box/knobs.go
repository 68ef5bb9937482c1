package box

import (
	"fmt"
	"math"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Knobs are what can be changed on the box. The zero value is outside the bounds: start from [True].
type Knobs struct {
	Wedge       tolerance.Length // of the plate: how much thicker it is on one side than on the other, across [Across]
	WedgeClock  tolerance.Angle  // where the plate is thickest, on the plate
	Offset      tolerance.Offset // of the plate's bearing and rear register from its front register
	OffsetClock tolerance.Angle  // on the plate
	Bow         tolerance.Length // of the plate about its 12-to-6 line, its thickness the same all round
	Turn        tolerance.Angle  // of the plate in the case, clockwise seen from the tail
	Pilot       tolerance.Diametral
	Dowels      int // 0, 1 or 2 between case and plate
	Case        tolerance.Celsius
	Measured    bool // the case as the record has it: its rear face and register a little out
}

// Across is the diameter across which the wedge is stated.
const Across = 200 * tolerance.Millimetre

// The bounds of the knobs.
const (
	MostWedge  = 0.2 * tolerance.Millimetre
	MostOffset = tolerance.Offset(0.1)
	MostBow    = 0.1 * tolerance.Millimetre
	LeastPilot = tolerance.Diametral(0.01)
	MostPilot  = tolerance.Diametral(0.4)
	HottestSet = tolerance.Celsius(80)
)

// True is the box as it should be: nothing is out, and one dowel.
func True() Knobs { return Knobs{Pilot: 0.022, Dowels: 1, Case: tolerance.Reference} }

// Validate returns the first fault of the knobs, a [fault.FieldError].
func (k Knobs) Validate() error {
	for _, b := range []struct {
		name             string
		value, low, high float64
	}{
		{"wedge", float64(k.Wedge), 0, float64(MostWedge)},
		{"wedge clock", k.WedgeClock.Degrees(), -360, 720},
		{"offset", float64(k.Offset), 0, float64(MostOffset)},
		{"offset clock", k.OffsetClock.Degrees(), -360, 720},
		{"bow", float64(k.Bow), 0, float64(MostBow)},
		{"turn", k.Turn.Degrees(), -360, 360},
		{"pilot", float64(k.Pilot), float64(LeastPilot), float64(MostPilot)},
		{"dowels", float64(k.Dowels), 0, 2},
		{"case", float64(k.Case), float64(tolerance.Reference), float64(HottestSet)},
	} {
		const slack = 1e-9 // degrees and inches go to and fro through radians and millimetres
		if !(b.value >= b.low-slack && b.value <= b.high+slack) {
			return &fault.FieldError{Path: "/" + b.name, Value: fmt.Sprint(b.value), Want: fmt.Sprintf("%g to %g", b.low, b.high), Err: fault.ErrOutOfRange}
		}
	}
	return nil
}

// toward is the vector of that size and clock angle.
func toward(size float64, clock tolerance.Angle) (x, y float64) {
	s, c := math.Sincos(clock.Radians())
	return size * s, size * c
}
