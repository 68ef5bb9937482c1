package main

import (
	"strings"
	"testing"
)

// A worse wedge never yields more, and the program says what it assumes.
func TestRun(t *testing.T) {
	var b strings.Builder
	if err := run(&b); err != nil {
		t.Fatal(err)
	}
	if s := b.String(); !strings.Contains(s, "Invented") || strings.Count(s, "confidence") != 4 {
		t.Errorf("%s", s)
	}
	last := 1.1
	for _, wedge := range []float64{0, 1e-4, 2e-4, 4e-4} {
		y, err := yield(wedge, 0.01)
		if err != nil {
			t.Fatal(err)
		}
		if y.Yield > last {
			t.Errorf("wedge %v yields %v, a better one %v", wedge, y.Yield, last)
		}
		last = y.Yield
	}
}
