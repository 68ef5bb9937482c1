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
		Works: []advise.Work{
			{Kind: advise.TurnOver, Place: "plate"},
			{Kind: advise.Reclock, Place: "plate", Holes: 6, Redrill: true},
			{Kind: advise.Skim, Place: "plate/rear", Most: in, Least: tolerance.Given[tolerance.Length](2 * in), Thin: 3 * in, Across: 4 * in},
			{Kind: advise.SkimWedge, Place: "plate/rear", Most: in, Least: tolerance.Given[tolerance.Length](2 * in), Thin: 3 * in, Across: 4 * in},
			{Kind: advise.Sleeve, Place: "tail/bush", Most: in, Across: 2 * in},
			{Kind: advise.Bush, Place: "tail/bush", Sizes: []tolerance.Length{3 * in}},
			{Kind: advise.Shim, Place: "case|plate", Sizes: []tolerance.Length{in}, Replace: true},
			{Kind: advise.TaperShim, Place: "case|plate", Most: 2 * in, Thin: 3 * in, Across: 4 * in, Replace: true},
			{Kind: advise.OffsetDowels, Place: "case|plate", Sizes: []tolerance.Length{in, 2 * in}},
			{Kind: advise.Redowel, Place: "case|plate", Most: in, Across: 2 * in},
		},
		Keep: []string{"case"},
		Step: in, ClockStep: 10 * tolerance.Degree, Within: 2 * in, Dial: 3 * in, Graduation: 4 * in, Strips: []tolerance.Length{5 * in, 6 * in}, Pairs: 7,
	}
	if usual || !reflect.DeepEqual(got, want) {
		t.Errorf("%+v\nwant\n%+v", got, want)
	}
	if got, usual := advise.ShopOf(decode(`"shop": {},`)); usual || !reflect.DeepEqual(got, advise.Shop{Push: true, Swap: true}) {
		t.Errorf("an empty shop: %+v", got)
	}
	got, usual = advise.ShopOf(decode(""))
	if !usual || !got.Push || !got.Swap || len(got.Works) != 2 || got.Works[0].Place != "plate/rear" || got.Works[0].Least.Given {
		t.Errorf("no shop: %+v", got)
	}
}
