package fits_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
	"example.com/borestack/tolerance/fits"
)

// Source: ISO 5753-1:2009; see the files.
func TestInternalClearance_everyCell(t *testing.T) {
	for name, bearing := range map[string]fits.Bearing{"iso5753_deep_groove.csv": fits.DeepGroove, "iso5753_cylindrical_roller.csv": fits.CylindricalRoller} {
		for _, row := range rows(t, name) {
			for _, g := range []fits.Group{fits.C2, fits.CN, fits.C3, fits.C4, fits.C5} {
				group := g.String()
				want := fits.Clearance{Least: tolerance.Diametral(um(t, row[group+"_min"])), Greatest: tolerance.Diametral(um(t, row[group+"_max"]))}
				for _, bore := range within(t, row["bore_over_mm"], row["bore_to_mm"]) {
					if got, err := fits.InternalClearance(bearing, bore, g); err != nil || got != want {
						t.Errorf("%v %v at %v: %v, %v, want %v", bearing, g, float64(bore), got, err, want)
					}
				}
			}
		}
	}
}

func TestInternalClearance_faults(t *testing.T) {
	for _, c := range []struct {
		bearing fits.Bearing
		bore    float64
		group   fits.Group
		class   error
		word    string
	}{
		{fits.DeepGroove, 6, fits.CN, fault.ErrOutOfRange, "over 6 mm, up to and including 100 mm (deep groove ball bearings)"},
		{fits.DeepGroove, 100.5, fits.CN, fault.ErrOutOfRange, "100 mm"},
		{fits.CylindricalRoller, 0, fits.CN, fault.ErrOutOfRange, "120 mm"},
		{fits.CylindricalRoller, math.NaN(), fits.CN, fault.ErrNotFinite, "120 mm"},
		{fits.Bearing(2), 30, fits.CN, fault.ErrOutOfRange, "deep groove"},
		{fits.DeepGroove, 30, fits.Group(5), fault.ErrOutOfRange, "C3"},
	} {
		if got, err := fits.InternalClearance(c.bearing, tolerance.Length(c.bore), c.group); !errors.Is(err, c.class) || !strings.Contains(err.Error(), c.word) || got != (fits.Clearance{}) {
			t.Errorf("%+v: %v, %v", c, got, err)
		}
	}
}

// The mean diameter of a ring is what it leaves beside an interval that is known: h, whose upper deviation
// is 0, on a shaft, and H, whose lower is 0, in a housing.
//
// Source: ISO 492:2014, class Normal; see the file.
func TestSeats_everyRing(t *testing.T) {
	cells := 0
	for _, row := range rows(t, "iso492_normal.csv") {
		lower := um(t, row["mean_diameter_deviation_lower"])
		if um(t, row["mean_diameter_deviation_upper"]) != 0 {
			t.Error("an upper deviation:", row)
		}
		for _, d := range within(t, row["over_mm"], row["to_mm"]) {
			var got fits.Mating
			var err error
			if row["ring"] == "outer" {
				got, err = fits.HousingSeat(d, class(t, "H7"))
				got.Hole = got.Shaft
			} else {
				got, err = fits.ShaftSeat(d, class(t, "h6"))
			}
			if err != nil || got.Hole != (fits.Deviations{Lower: lower}) {
				t.Errorf("%s at %v: %+v, %v, want %v", row["ring"], float64(d), got.Hole, err, lower)
			}
		}
		cells++
	}
	if cells != 14 {
		t.Error(cells, "rows")
	}
	for _, d := range []tolerance.Length{2.5, 181} {
		if _, err := fits.ShaftSeat(d, class(t, "h6")); err == nil || !strings.Contains(err.Error(), "over 2.5 mm, up to and including 180 mm") {
			t.Error(d, err)
		}
	}
	for _, d := range []tolerance.Length{18, 251, tolerance.Length(math.NaN())} {
		if _, err := fits.HousingSeat(d, class(t, "H6")); err == nil || !strings.Contains(err.Error(), "over 18 mm, up to and including 250 mm") {
			t.Error(d, err)
		}
	}
}

func TestSeats(t *testing.T) {
	um := func(v float64) tolerance.Diametral { return tolerance.Diametral(v / 1000) }
	// Source: hand calculation from ISO 492 class Normal and ISO 286: 30 mm bore 0/-10 on k6 +15/+2; 25 mm on j6 +9/-4; 72 mm outside 0/-13 in H7 +30/0.
	for _, c := range []struct {
		seat            func(tolerance.Length, fits.Class) (fits.Mating, error)
		size            tolerance.Length
		class           string
		least, greatest float64
		kind            fits.Kind
	}{
		{fits.ShaftSeat, 30, "k6", -25, -2, fits.InterferenceFit},
		{fits.ShaftSeat, 25, "j6", -19, 4, fits.TransitionFit},
		{fits.HousingSeat, 72, "H7", 0, 43, fits.ClearanceFit},
	} {
		got, err := c.seat(c.size, class(t, c.class))
		if err != nil || got.Clearance != (fits.Clearance{Least: um(c.least), Greatest: um(c.greatest)}) || got.Kind != c.kind {
			t.Errorf("%v %s: %+v, %v", c.size, c.class, got, err)
		}
	}
	// Source: public tables of bearing makers (tolerances and resultant fits): theoretical interference or clearance.
	for _, c := range []struct {
		seat            func(tolerance.Length, fits.Class) (fits.Mating, error)
		size            tolerance.Length
		class           string
		least, greatest float64
	}{
		{fits.ShaftSeat, 10, "j5", -12, 2},
		{fits.ShaftSeat, 40, "j5", -18, 5},
		{fits.ShaftSeat, 80, "j6", -27, 7},
		{fits.ShaftSeat, 60, "h6", -15, 19},
		{fits.ShaftSeat, 60, "g6", -5, 29},
		{fits.HousingSeat, 72, "K7", -21, 22},
		{fits.HousingSeat, 72, "M6", -24, 8},
		{fits.HousingSeat, 90, "J7", -13, 37},
		{fits.HousingSeat, 200, "N7", -60, 16},
		{fits.HousingSeat, 140, "P7", -68, -10},
		{fits.HousingSeat, 47, "JS6", -8, 19},
		{fits.HousingSeat, 47, "JS5", -5.5, 16.5},
		{fits.HousingSeat, 110, "H8", 0, 69},
	} {
		got, err := c.seat(c.size, class(t, c.class))
		if err != nil || got.Clearance != (fits.Clearance{Least: um(c.least), Greatest: um(c.greatest)}) {
			t.Errorf("%v %s: %+v, %v", c.size, c.class, got, err)
		}
	}
	if _, err := fits.ShaftSeat(30, class(t, "H7")); !errors.Is(err, fault.ErrConflict) {
		t.Error(err)
	}
	if _, err := fits.HousingSeat(30, class(t, "h7")); !errors.Is(err, fault.ErrConflict) {
		t.Error(err)
	}
	if _, err := fits.ShaftSeat(200, class(t, "h7")); !errors.Is(err, fault.ErrOutOfRange) {
		t.Error(err)
	}
	if _, err := fits.HousingSeat(10, class(t, "H7")); !errors.Is(err, fault.ErrOutOfRange) {
		t.Error(err)
	}
	if _, err := fits.HousingSeat(72, fits.Class{}); !errors.Is(err, fits.ErrUnknownClass) {
		t.Error(err)
	}
}
