package table

import (
	"math"
	"strings"
	"testing"

	"example.com/borestack/tolerance"
)

// Columns are found by name in any order, and every fault is told by its line and column.
func TestRead(t *testing.T) {
	got, err := Read(strings.NewReader("\ufeff# invented\n b ,a\n90, 1.5\n# none\n,x\n1\n"), "a", "b")
	if err != nil || len(got.Rows) != 2 || got.Err() == nil {
		t.Fatalf("%+v, %v", got, err)
	}
	first, second := got.Rows[0], got.Rows[1]
	if first.Length("a", tolerance.Micrometres) != 0.0015 || first.Angle("b").Degrees() != 90 || first.Number("c") != 0 || second.Maybe("b") != 0 {
		t.Errorf("%+v", first)
	}
	second.Number("a")
	second.Number("b")
	for _, want := range []string{"line 5, a: \"x\"", "line 5, b: \"\"", "line 6: 1 fields"} {
		if !strings.Contains(got.Err().Error(), want) {
			t.Errorf("%q is missing from %v", want, got.Err())
		}
	}
	for _, bad := range []string{"", "a\n1\n", "a,a,b\n", "a,b\n\"1\n"} {
		if _, err := Read(strings.NewReader(bad), "a", "b"); err == nil {
			t.Errorf("%q was taken", bad)
		}
	}
}

// A spreadsheet that parts its columns otherwise, or writes decimal commas, is told so.
func TestRead_commas(t *testing.T) {
	for text, want := range map[string]string{
		"x;y\n0,01;0,02\n":   "commas between columns",
		"x\ty\n0.01\t0.02\n": "commas between columns",
		"x,y\n0,01,0,02\n":   "a number has a point, not a comma",
	} {
		got, err := Read(strings.NewReader(text))
		if err == nil {
			err = got.Err()
		}
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

// A clock position is degrees or hours and minutes; hours without minutes are told.
//
// Source: hand calculation: 30° an hour, half a degree a minute.
func TestAngle_clock(t *testing.T) {
	for text, want := range map[string]float64{"": 0, "90": 90, "-15": -15, "4:30": 135} {
		got, err := Read(strings.NewReader("clock,b\n" + text + ",1\n"))
		if err != nil || math.Abs(got.Rows[0].Angle("clock").Degrees()-want) > 1e-12 || got.Err() != nil {
			t.Errorf("%q: %v, %v", text, got.Rows[0].Angle("clock"), got.Err())
		}
	}
	for _, bad := range []string{"13:00", "x"} {
		got, _ := Read(strings.NewReader("clock\n" + bad + "\n"))
		if got.Rows[0].Angle("clock"); got.Err() == nil {
			t.Errorf("%q was taken", bad)
		}
	}
	for text, wrong := range map[string]bool{"3\n9\n12\n": true, "5\n": true, "0\n0\n": false, "3\n15\n": false, "3\n4.5\n": false, "3\n9:00\n": true, "0\n9:00\n": false, "3:00\n9:00\n": false, "0\n90\n": false} {
		got, _ := Read(strings.NewReader("clock\n" + text))
		if got.Degrees("clock"); (got.Err() != nil) != wrong || wrong && !strings.HasPrefix(got.Err().Error(), "line 2, clock: ") {
			t.Errorf("%q: %v", text, got.Err())
		}
	}
}
