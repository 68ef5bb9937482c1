package record_test

import (
	"fmt"
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

// A number of readings that nobody marks at equal steps, one off a number that people do, is warned of: a station was left out, or the first stands there again.
func TestRecord_Warnings_stations(t *testing.T) {
	for _, c := range []struct {
		stations int
		more     string
		want     bool
	}{
		// Source: common practice, no published source: 3, 4, 6, 8, 12, 16 or 24 stations are marked round a part.
		{3, ``, false},
		{4, ``, false},
		{6, ``, false},
		{8, ``, false},
		{12, ``, false},
		{16, ``, false},
		{24, ``, false},
		{10, ``, false},
		{5, ``, true},
		{7, ``, true},
		{9, ``, true},
		{11, ``, true},
		{13, ``, true},
		{23, ``, true},
		{25, ``, true},
		{7, `, "at": [0, 50, 100, 150, 200, 250, 300]`, false}, // said, not counted
	} {
		block := `"readings": [0.01` + strings.Repeat(", 0.01", c.stations-1) + `]` + c.more
		w := decode(t, swept("mm", block)).Warnings()
		if got := len(w) == 1 && w[0].Path == "/parts/0/bores/0/sweep/readings" && strings.Contains(w[0].Text, fmt.Sprint(c.stations, " readings at equal steps")); got != c.want || !got && len(w) > 0 {
			t.Errorf("%s: %v", block, w)
		}
	}
}

// A dowel hole in both faces of a joint without a pin in it locates nothing, which is said.
func TestRecord_Warnings_holesWithoutPins(t *testing.T) {
	const pin = `"pins": [{"dowel": "p", "diameter": 10, "pressed": "front"}]`
	for name, c := range map[string]struct {
		text string
		want bool
	}{
		"a pin":             {plain, false},
		"no pin":            {change(t, plain, pin, ``), true},
		"holes do not meet": {change(t, plain, pin, ``, `"dowels": [{"name": "p"`, `"dowels": [{"name": "q"`), false},
		"measured in place": {change(t, plain, pin, `"float": {"x": 0, "y": 0, "turn": 0}`), false},
	} {
		w := decode(t, c.text).Warnings()
		if got := len(w) == 1 && w[0].Path == "/joints/0" && strings.Contains(w[0].Text, `a dowel hole "p" and no pin`); got != c.want || !got && len(w) > 0 {
			t.Errorf("%s: %v", name, w)
		}
	}
}
