package table

import (
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
