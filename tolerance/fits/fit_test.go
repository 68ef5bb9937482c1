package fits_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
	"example.com/borestack/tolerance/fits"
)

// Source: see the file.
func TestFit_Limits_worked(t *testing.T) {
	all := rows(t, "iso286_worked_fits.csv")
	for _, row := range all {
		f, err := fits.ParseFit(row["size_mm"] + " " + row["hole"] + "/" + row["shaft"])
		if err != nil {
			t.Error(err)
			continue
		}
		got, err := f.Limits()
		want := fits.Mating{
			Hole:  fits.Deviations{Lower: um(t, row["hole_lower_um"]), Upper: um(t, row["hole_upper_um"])},
			Shaft: fits.Deviations{Lower: um(t, row["shaft_lower_um"]), Upper: um(t, row["shaft_upper_um"])},
			Clearance: fits.Clearance{
				Least:    tolerance.Diametral(um(t, row["min_clearance_um(neg=interference)"])),
				Greatest: tolerance.Diametral(um(t, row["max_clearance_um"])),
			},
		}
		switch least, greatest := number(t, row["min_clearance_um(neg=interference)"]), number(t, row["max_clearance_um"]); {
		case least >= 0:
			want.Kind = fits.ClearanceFit
		case greatest <= 0:
			want.Kind = fits.InterferenceFit
		default:
			want.Kind = fits.TransitionFit
		}
		if err != nil || got != want {
			t.Errorf("%v: %+v, %v, want %+v", f, got, err, want)
		}
	}
	if len(all) != 20 {
		t.Error(len(all), "fits")
	}
}

func TestFit_Limits_more(t *testing.T) {
	um := func(v float64) tolerance.Length { return tolerance.Length(v / 1000) }
	for _, c := range []struct {
		fit             string
		es, ei, us, li  float64
		least, greatest float64
		kind            fits.Kind
	}{
		// Source: a public transcription's worked example of ISO 286 (29 H7/h8).
		{"29 H7/h8", 21, 0, 0, -33, 0, 54, fits.ClearanceFit},
		// Source: Shigley's Mechanical Engineering Design, 10th edition, limits and fits, 34 H9/d9 (from memory).
		{"34 H9/d9", 62, 0, -80, -142, 80, 204, fits.ClearanceFit},
		// Source: hand calculation: H6 of 120 to 180 mm is +25 (found on a public page for 132.5 mm); js6 ±12.5.
		{"132.5 H6/js6", 25, 0, 12.5, -12.5, -12.5, 37.5, fits.TransitionFit},
		// Source: hand calculation from ISO 286-1:2010, Table 1: IT7 21, IT6 13.
		{"25 JS7/h6", 10.5, -10.5, 0, -13, -10.5, 23.5, fits.TransitionFit},
	} {
		f, err := fits.ParseFit(c.fit)
		if err != nil {
			t.Error(err)
			continue
		}
		got, err := f.Limits()
		want := fits.Mating{
			Hole: fits.Deviations{Lower: um(c.ei), Upper: um(c.es)}, Shaft: fits.Deviations{Lower: um(c.li), Upper: um(c.us)},
			Clearance: fits.Clearance{Least: tolerance.Diametral(um(c.least)), Greatest: tolerance.Diametral(um(c.greatest))}, Kind: c.kind,
		}
		if err != nil || got != want {
			t.Errorf("%s: %+v, %v, want %+v", c.fit, got, err, want)
		}
	}
}

func TestParseFit(t *testing.T) {
	want := fits.Fit{Size: 72, Hole: fits.Class{Letter: "H", Grade: 7}, Shaft: fits.Class{Letter: "k", Grade: 6}}
	for _, s := range []string{"72 H7/k6", "72H7/k6", "ø72 mm H7/k6", " ⌀72 H7 / k6 ", "72.0mmH7/k6", "Ø 72 H7/k6"} {
		if got, err := fits.ParseFit(s); err != nil || got != want {
			t.Errorf("%q: %v, %v", s, got, err)
		}
	}
	for s, c := range map[string]struct {
		class error
		word  string
	}{
		"":            {fault.ErrSyntax, "72 H7/k6"},
		"H7/k6":       {fault.ErrSyntax, "72 H7/k6"},
		"72":          {fault.ErrSyntax, "72 H7/k6"},
		"72 H7":       {fault.ErrSyntax, "two classes"},
		"72,5 H7/k6":  {fault.ErrSyntax, "decimal point"},
		"1.2.3 H7/k6": {fault.ErrSyntax, "72 H7/k6"},
		"-5 H7/k6":    {fault.ErrSyntax, "72 H7/k6"},
		"72 in H7/k6": {fault.ErrSyntax, "such as"},
		"72 k6/H7":    {fault.ErrConflict, "before the slash"},
		"72 h7/k6":    {fault.ErrConflict, "capitals"},
		"72 H7/K6":    {fault.ErrConflict, "small letters"},
		"72 H7/k6/m6": {fault.ErrSyntax, "such as"},
		"72 H7/t6":    {fits.ErrUnknownClass, "the letters carried here"},
		"72 Q7/k6":    {fits.ErrUnknownClass, "for holes"},
		"501 H7/k6":   {fault.ErrOutOfRange, "500 mm"},
		"0 H7/k6":     {fault.ErrOutOfRange, "over 0 mm"},
		"1" + strings.Repeat("0", 400) + " H7/k6": {fault.ErrSyntax, "72 H7/k6"},
	} {
		got, err := fits.ParseFit(s)
		if !errors.Is(err, c.class) || err != nil && !strings.Contains(err.Error(), c.word) || got != (fits.Fit{}) {
			t.Errorf("%.40q: %v, %v; want %v with %q", s, got, err, c.class, c.word)
		}
	}
	if _, err := (fits.Fit{}).Limits(); err == nil {
		t.Error("the zero fit has limits")
	}
}

// Whatever the fit, its text reads back, its widths are those of the grades, and the kind follows the signs.
func TestFit_properties(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 286))
	pick := func(words string) string { w := strings.Fields(words); return w[rng.IntN(len(w))] }
	checked := 0
	for range 4000 {
		size := 500 * (1 - rng.Float64())
		if rng.IntN(2) == 0 {
			size = math.Ceil(size) // a whole number, often the edge of a step
		}
		f := fits.Fit{
			Size:  tolerance.Length(size),
			Hole:  fits.Class{Letter: pick("D E F G H J JS K M N P R S"), Grade: 4 + rng.IntN(8)},
			Shaft: fits.Class{Letter: pick("d e f g h j js k m n p r s"), Grade: 4 + rng.IntN(8)},
		}
		if _, err := f.Limits(); err != nil {
			continue
		}
		checked++
		if back, err := fits.ParseFit(written(f)); err != nil || back != f {
			t.Fatalf("%v reads as %v, %v", f, back, err)
		}
		l, err := f.Limits()
		if err != nil {
			t.Fatal(err)
		}
		if d := float64(l.Clearance.Greatest-l.Clearance.Least) - float64(l.Hole.Width()+l.Shaft.Width()); math.Abs(d) > 1e-15 {
			t.Errorf("%v: the clearance varies by %v more than the parts", f, d)
		}
		least, greatest := l.Clearance.Interference()
		if tolerance.Diametral(0-least) != l.Clearance.Greatest || tolerance.Diametral(0-greatest) != l.Clearance.Least {
			t.Errorf("%v: interference %v to %v of %v", f, least, greatest, l.Clearance)
		}
		loose, tight := l.Clearance.Greatest > 0, l.Clearance.Least < 0
		want := map[[2]bool]fits.Kind{{true, false}: fits.ClearanceFit, {true, true}: fits.TransitionFit, {false, true}: fits.InterferenceFit}[[2]bool{loose, tight}]
		if l.Kind != want {
			t.Errorf("%v: %v, want %v", f, l.Kind, want)
		}
	}
	if checked < 1500 {
		t.Error(checked, "fits checked")
	}
}

func FuzzParseFit(f *testing.F) {
	for _, s := range []string{"72 H7/k6", "ø25 mm H7/js6", "1,5 H7/k6", "72 H7/t6"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		fit, err := fits.ParseFit(s)
		if err != nil {
			return
		}
		if _, err := fit.Limits(); err != nil {
			t.Fatalf("%q is accepted and has no limits: %v", s, err)
		}
		if back, err := fits.ParseFit(written(fit)); err != nil || back != fit {
			t.Fatalf("%q: %v then %v, %v", s, fit, back, err)
		}
	})
}

// written is a fit as drawings have it.
func written(f fits.Fit) string {
	return fmt.Sprintf("%s %v/%v", strconv.FormatFloat(f.Size.Millimetres(), 'f', -1, 64), f.Hole, f.Shaft)
}
