package fits

import (
	"math"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// RingTolerance is what a bearing ring of class Normal may deviate by. The zero value is a perfect ring.
type RingTolerance struct {
	MeanDiameter Deviations                     // of the bore of an inner ring, or of the outside of an outer ring: the mean in one plane
	Runout       tolerance.TIR                  // greatest radial runout of the ring in the assembled bearing
	Width        tolerance.Optional[Deviations] // of an inner ring; an outer ring's goes with it
}

type ringRow struct{ to, diameter, runout, width float64 } // mm, then µm; upper deviations are zero

// InnerRingTolerance returns the tolerances of an inner ring of class Normal by its bore, over 2.5 up to and including 180 mm.
//
// Source: ISO 492:2014, Table 1 (from memory; the mean bore diameter also found in a public extract of a maker's table).
func InnerRingTolerance(bore tolerance.Length) (RingTolerance, error) {
	return ringTolerance("bore", bore, 2.5, "inner rings of class Normal", []ringRow{
		{10, -8, 10, -120},
		{18, -8, 10, -120},
		{30, -10, 13, -120},
		{50, -12, 15, -120},
		{80, -15, 20, -150},
		{120, -20, 25, -200},
		{180, -25, 30, -250},
	})
}

// OuterRingTolerance returns the tolerances of an outer ring of class Normal by its outside diameter, over 18 up to and including 250 mm.
//
// Source: ISO 492:2014, Table 2 (from memory; the mean outside diameter also found in public tables of makers).
func OuterRingTolerance(outside tolerance.Length) (RingTolerance, error) {
	return ringTolerance("outside", outside, 18, "outer rings of class Normal", []ringRow{
		{30, -9, 15, 0},
		{50, -11, 20, 0},
		{80, -13, 25, 0},
		{120, -15, 35, 0},
		{150, -18, 40, 0},
		{180, -25, 45, 0},
		{250, -30, 50, 0},
	})
}

func ringTolerance(path string, diameter tolerance.Length, over float64, of string, table []ringRow) (RingTolerance, error) {
	mm := diameter.Millimetres()
	if err := outside(path, mm, over, table[len(table)-1].to, of); err != nil {
		return RingTolerance{}, err
	}
	i := 0
	for mm > table[i].to {
		i++
	}
	r := table[i]
	out := RingTolerance{
		MeanDiameter: Deviations{Lower: micrometres(r.diameter)},
		Runout:       tolerance.TIR(micrometres(r.runout)),
	}
	if r.width != 0 {
		out.Width = tolerance.Given(Deviations{Lower: micrometres(r.width)})
	}
	return out, nil
}

// ShaftSeat returns how the inner ring of a bearing of class Normal fits a shaft of class shaft: the ring's bore is the hole.
//
// Source: ISO 492:2014, Table 1, and ISO 286-1:2010; see [InnerRingTolerance] and [Class.At].
func ShaftSeat(bore tolerance.Length, shaft Class) (Mating, error) {
	if err := shaft.Validate(); err != nil {
		return Mating{}, err
	}
	if shaft.Hole() {
		return Mating{}, fault.At("shaft", shaft.String(), "a class of shafts, in small letters", fault.ErrConflict)
	}
	ring, err := InnerRingTolerance(bore)
	if err != nil {
		return Mating{}, err
	}
	in, err := shaft.interval(bore)
	if err != nil {
		return Mating{}, err
	}
	return between(ring.interval(), in), nil
}

// HousingSeat returns how the outer ring of a bearing of class Normal fits a housing bore of class housing: the ring's outside is the shaft.
//
// Source: ISO 492:2014, Table 2, and ISO 286-1:2010; see [OuterRingTolerance] and [Class.At].
func HousingSeat(outside tolerance.Length, housing Class) (Mating, error) {
	if err := housing.Validate(); err != nil {
		return Mating{}, err
	}
	if !housing.Hole() {
		return Mating{}, fault.At("housing", housing.String(), "a class of holes, in capitals", fault.ErrConflict)
	}
	ring, err := OuterRingTolerance(outside)
	if err != nil {
		return Mating{}, err
	}
	in, err := housing.interval(outside)
	if err != nil {
		return Mating{}, err
	}
	return between(in, ring.interval()), nil
}

// interval is the diameter's interval in whole micrometres again; multiplying a table value by a thousand need not give the integer back.
func (r RingTolerance) interval() interval {
	return interval{math.Round(r.MeanDiameter.Lower.Micrometres()), math.Round(r.MeanDiameter.Upper.Micrometres())}
}
