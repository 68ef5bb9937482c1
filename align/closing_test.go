package align_test

import (
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// What a round lacks to close: closing less the first station's mean, or nothing.
func TestReadings_ClosingError(t *testing.T) {
	closing := tolerance.Given(tolerance.Length(0.5))
	for name, c := range map[string]struct {
		r     align.Readings
		given bool
		want  tolerance.Length
	}{
		"zero value":         {align.Readings{}, false, 0},
		"no closing":         {align.Readings{Values: [][]tolerance.Length{{0.25}}}, false, 0},
		"one reading":        {align.Readings{Values: [][]tolerance.Length{{0.25}, {3}}, Closing: closing}, true, 0.25},
		"repeats":            {align.Readings{Values: [][]tolerance.Length{{0.25, 1.25}, {3}}, Closing: closing}, true, -0.25},
		"closes":             {align.Readings{Values: [][]tolerance.Length{{0.5}, {3}}, Closing: closing}, true, 0},
		"first not read":     {align.Readings{Values: [][]tolerance.Length{nil, {3}}, Closing: closing}, false, 0},
		"nothing but closed": {align.Readings{Closing: closing}, false, 0},
	} {
		// Source: hand calculation: 0.5 - 0.25; 0.5 - (0.25 + 1.25)/2.
		if got := c.r.ClosingError(); got.Given != c.given || got.Value != c.want {
			t.Errorf("%s: %v, want %v given %v", name, got, c.want, c.given)
		}
	}
}
