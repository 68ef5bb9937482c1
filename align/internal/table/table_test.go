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

// Semicolons or tabs part a table where they part its head line, and then a comma is a decimal mark.
func TestRead_separators(t *testing.T) {
	for _, text := range []string{"a,b\n1.5,2\n", "# x,y\n\na;b\n1,5;2\n", "a\tb\n1,5\t2\n", "a;b\n1.5;2\n", "\ufeffa;b\r\n1,5;\"2\"\r\n", "a; b\n1,5 ; 2\n"} {
		got, err := Read(strings.NewReader(text), "a", "b")
		if err != nil || len(got.Rows) != 1 {
			t.Errorf("%q: %v", text, err)
			continue
		}
		if a, b := got.Rows[0].Number("a"), got.Rows[0].Number("b"); a != 1.5 || b != 2 || got.Err() != nil {
			t.Errorf("%q: %v and %v, %v", text, a, b, got.Err())
		}
	}
	for _, text := range []string{"a;b\n1,500,0;2\n", "a;b\n1.500,0;2\n", "a;b\n1,500.0;2\n", "a;b\n1,5,2\n", "a,b\n1;2\n", "a,b\n1,5,2\n"} {
		got, err := Read(strings.NewReader(text), "a", "b")
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		for _, r := range got.Rows {
			r.Number("a")
		}
		if got.Err() == nil {
			t.Errorf("%q: no fault", text)
		}
	}
	if got, err := Read(strings.NewReader("a\t\tb\n1\t\t2\n"), "a", "b"); err != nil || got.Rows[0].Number("b") != 2 {
		t.Errorf("an empty column: %v", err)
	}
}

// A column that nobody asked for is told by its name.
func TestRead_head(t *testing.T) {
	got, err := Read(strings.NewReader("a,B,c\n1,2,3\n"), "a")
	if err != nil {
		t.Fatal(err)
	}
	if got.Only("a", "b", "c"); got.Err() == nil || got.Err().Error() != `head line: "B": unknown name: want columns of a, b, c` {
		t.Error(got.Err())
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
