package advise_test

import (
	"os"
	"reflect"
	"strings"
	"testing"

	"example.com/borestack/align/advise"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// Every key of a shop, in a record in inches.
//
// Source: hand calculation: an inch is 25.4 mm.
func TestShopOf_everyKey(t *testing.T) {
	text, err := os.ReadFile("../../testdata/records/shop-plates.json")
	if err != nil {
		t.Fatal(err)
	}
	decode := func(shop string) *record.Record {
		rec, err := record.Decode(strings.NewReader(strings.Replace(string(text), "{", "{"+shop, 1)))
		if err != nil {
			t.Fatal(err)
		}
		return rec
	}
	got, usual := advise.ShopOf(decode(`"shop": {"push": false, "swap": false, "turn_over": ["plate"],
 "reclock": [{"part": "plate", "holes": 6, "redrill": true}], "offset_dowels": [{"joint": "case|plate", "steps": [1, 2]}],
 "shims": [{"joint": "case|plate", "thicknesses": [1], "replace": true, "taper": 2, "thin": 3, "across": 4}],
 "skims": [{"face": "plate/rear", "stock": 1, "least": 2, "clean": 3, "wedge": true, "across": 4}],
 "redowel": [{"joint": "case|plate", "most": 1, "pin": 2}], "bores": [{"bore": "tail/bush", "most": 1, "wall": 2, "offsets": [3]}],
 "keep": ["case"], "step": 1, "clock_step": 10, "within": 2, "dial": 3, "graduation": 4, "strips": [5, 6], "pairs": 7},`))
	const in = tolerance.Inch
	want := advise.Shop{
		TurnOver: []string{"plate"}, Reclock: []advise.ReclockWork{{Part: "plate", Holes: 6, Redrill: true}},
		Dowels:  []advise.DowelWork{{Joint: "case|plate", Steps: []tolerance.Length{in, 2 * in}}},
		Shims:   []advise.ShimWork{{Joint: "case|plate", Thicknesses: []tolerance.Length{in}, Replace: true, MostTaper: 2 * in, Thin: 3 * in, Across: 4 * in}},
		Skims:   []advise.SkimWork{{Face: "plate/rear", Stock: in, Least: tolerance.Given[tolerance.Length](2 * in), Clean: 3 * in, Wedge: true, Across: 4 * in}},
		Redowel: []advise.RedowelWork{{Joint: "case|plate", Most: in, Pin: 2 * in}},
		Bores:   []advise.BoreWork{{Bore: "tail/bush", Most: in, Wall: 2 * in, Offsets: []tolerance.Length{3 * in}}},
		Keep:    []string{"case"},
		Step:    in, ClockStep: 10 * tolerance.Degree, Within: 2 * in, Dial: 3 * in, Graduation: 4 * in, Strips: []tolerance.Length{5 * in, 6 * in}, Pairs: 7,
	}
	if usual || !reflect.DeepEqual(got, want) {
		t.Errorf("%+v\nwant\n%+v", got, want)
	}
	if got, usual := advise.ShopOf(decode(`"shop": {},`)); usual || !reflect.DeepEqual(got, advise.Shop{Push: true, Swap: true}) {
		t.Errorf("an empty shop: %+v", got)
	}
	got, usual = advise.ShopOf(decode(""))
	if !usual || !got.Push || !got.Swap || len(got.Skims) != 1 || got.Skims[0].Face != "plate/rear" || got.Skims[0].Least.Given || len(got.Dowels) > 0 {
		t.Errorf("no shop: %+v", got)
	}
}
