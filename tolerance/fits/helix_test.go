package fits_test

import (
	"bufio"
	"errors"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
	"example.com/borestack/tolerance/fits"
)

// Source: ISO 1328-1:1995, by its formula, 5 × 5 ranges and grades 3 to 9 (testdata/iso1328_helix.csv).
func TestHelixTolerance_formula(t *testing.T) {
	f, err := os.Open("testdata/iso1328_helix.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows := 0
	for s := bufio.NewScanner(f); s.Scan(); {
		var d0, d1, b0, b1, raw float64
		var grade int
		if n, _ := fmt.Sscanf(strings.ReplaceAll(s.Text(), ",", " "), "%g %g %g %g %d %g", &d0, &d1, &b0, &b1, &grade, &raw); n != 6 {
			continue
		}
		rows++
		for _, at := range [][2]float64{{d0 + 1e-9, b1}, {d1, b0 + 1e-9}} { // over the lower end, up to and including the upper
			got, err := fits.HelixTolerance(tolerance.Length(at[0]), tolerance.Length(at[1]), grade)
			if err != nil {
				t.Fatal(err)
			}
			step := 1.0
			if raw <= 10 {
				step = 0.5
			}
			if math.Abs(got.Micrometres()-raw) > step/2+1e-4 || math.Abs(math.Remainder(got.Micrometres(), step)) > 1e-9 {
				t.Errorf("%v, grade %d: %v, raw %v", at, grade, got.Micrometres(), raw)
			}
		}
	}
	if rows != 175 {
		t.Errorf("%d rows", rows)
	}
}

// Source: ISO 1328-1:1995, table, d 50 to 125, b 20 to 40 (from memory): grades 5 to 8: 8.5, 12, 17, 24 µm.
func TestHelixTolerance_table(t *testing.T) {
	for i, want := range []float64{8.5, 12, 17, 24} {
		got, err := fits.HelixTolerance(80, 25, 5+i)
		if err != nil || math.Abs(got.Micrometres()-want) > 1e-9 {
			t.Errorf("grade %d: %v, want %v (%v)", 5+i, got.Micrometres(), want, err)
		}
	}
	for _, c := range []struct {
		d, b  tolerance.Length
		grade int
		want  error
	}{{5, 25, 5, fault.ErrOutOfRange}, {80, 161, 5, fault.ErrOutOfRange}, {80, 25, 13, fits.ErrUnknownClass}, {tolerance.Length(math.NaN()), 25, 5, fault.ErrOutOfRange}} {
		if _, err := fits.HelixTolerance(c.d, c.b, c.grade); !errors.Is(err, c.want) {
			t.Errorf("%+v: %v", c, err)
		}
	}
}
