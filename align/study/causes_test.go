package study_test

import (
	"math"
	"strings"
	"testing"

	"example.com/borestack/align/study"
)

// A number that varies alone and must keep within 1.5 standard deviations fails in its outer tenths, half the time in each, which is five times as often as usual; one that hardly matters is not named. Few failures name nothing.
//
// Source: hand calculation: the tenths begin at 1.2816 standard deviations, which is less than 1.5.
func TestVary_causes(t *testing.T) {
	text := strings.Replace(bed("mm", `{"name": "c", "at": "/parts/0/bores/2/centre/0", "law": {"normal": 0.02}}, {"name": "d", "at": ["/parts/0/bores/2/centre/1", "/parts/0/bores/1/centre/1"], "law": {"normal": 0.000001}}`,
		`{"output": {"kind": "offset", "of": "bed/c"}, "greatest": 0.03}, {"output": {"kind": "offset", "of": "bed/c"}, "greatest": 0.08}`), "0.02, -0.01, 250", "0, 0, 250", 1)
	out := vary(t, text, 20000)[0].Outputs
	if len(out[0].Causes) != 2 {
		t.Fatalf("causes %+v", out[0].Causes)
	}
	seen := map[bool]bool{}
	for _, c := range out[0].Causes {
		seen[c.Upper] = true
		if c.Input != "c" || c.Pair || math.Abs(c.Times-5) > 0.5 || !(c.Interval[0] < c.Times && c.Times < c.Interval[1]) { // five standard errors
			t.Errorf("cause %+v, want c 5 times", c)
		}
	}
	if len(seen) != 2 {
		t.Errorf("causes %+v, want both tails", out[0].Causes)
	}
	if out[1].Causes != nil {
		t.Errorf("a limit of 4 standard deviations: causes %+v", out[1].Causes)
	}
}

// A pair says along which axis.
func TestVary_causesOfPair(t *testing.T) {
	text := strings.Replace(bed("mm", `{"name": "c", "at": ["/parts/0/bores/2/centre/0", "/parts/0/bores/2/centre/1"], "law": {"normal": 0.02}}`,
		`{"output": {"kind": "offset", "of": "bed/c"}, "greatest": 0.05}`), "0.02, -0.01, 250", "0.03, 0, 250", 1)
	causes := vary(t, text, 20000)[0].Outputs[0].Causes
	if len(causes) == 0 || causes[0] != (study.Cause{Input: "c", Pair: true, Upper: true, Times: causes[0].Times, Interval: causes[0].Interval}) {
		t.Errorf("causes %+v, want great deviations along x first", causes)
	}
}
