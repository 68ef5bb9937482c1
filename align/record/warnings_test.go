package record_test

import (
	"strings"
	"testing"
)

// Odd scales are warned of at their place, what is only large is not.
//
// Source: common practice, no published source.
func TestWarnings_scale(t *testing.T) {
	pocket := strings.Replace(plain, ` "shafts": [{"name": "main", "supports": [{"bore": "case/a", "clearance": 0.1}, `,
		` "pockets": [{"name": "pilot", "between": ["input", "main"], "z": 100, "clearance": 0.05}],
 "shafts": [{"name": "input", "supports": [{"bore": "case/a", "clearance": 0.1}]}, {"name": "main", "supports": [`, 1)
	for name, c := range map[string]struct {
		text, from, to string
		want           string // the only warning's place; empty: none
	}{
		"gasket":              {plain, `"thickness": 1}`, `"thickness": 25}`, "/joints/1/gasket/thickness"},
		"thick gasket":        {plain, `"thickness": 1}`, `"thickness": 10}`, ""},
		"journal":             {plain, `"kind": "bush", "width": 30, "journal": 30}`, `"journal": 30.11}`, "/shafts/0/supports/2/journal"},
		"journal as the bore": {plain, `"kind": "bush", "width": 30, "journal": 30}`, `"journal": 30.1}`, ""},
		"pocket":              {pocket, "", "", ""},
		"pocket far behind":   {pocket, `"z": 100`, `"z": 555`, "/pockets/0/z"}, // supports from 20 to 375, half of 355 behind them is 552.5
		"pocket behind":       {pocket, `"z": 100`, `"z": 552`, ""},
		"pocket far ahead":    {pocket, `"z": 100`, `"z": -158`, "/pockets/0/z"}, // half of 355 ahead of 20 is -157.5
		"pocket ahead":        {pocket, `"z": 100`, `"z": -157`, ""},
	} {
		var got []string
		for _, w := range decode(t, strings.Replace(c.text, c.from, c.to, 1)).Warnings() {
			got = append(got, w.Path)
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%s: warned of %q, want %q", name, got, c.want)
		}
	}
}
