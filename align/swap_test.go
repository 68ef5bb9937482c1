package align_test

import (
	"math"
	"os"
	"strings"
	"testing"

	. "example.com/borestack/align"
	"example.com/borestack/align/record"
)

// Every box that candidates make is worked out as if it were alone.
//
// Source: a second method, Stack.Ranges of the stack with the candidates in their places.
func TestSwaps_sameAsAlone(t *testing.T) {
	for _, state := range []string{"", "warm"} {
		text, err := os.ReadFile("../examples/compare/bench.json")
		if err != nil {
			t.Fatal(err)
		}
		rec, err := record.Decode(strings.NewReader(string(text)))
		if err != nil {
			t.Fatal(err)
		}
		s, err := rec.Stack()
		if err != nil {
			t.Fatal(err)
		}
		s.States = []State{{Name: "warm", Temperatures: []StateTemperature{{Of: "plate", Temperature: 70}, {Of: "main", Temperature: 90}}}}
		out := []Output{{What: Margin}, {What: TIRSize, Of: "tail/tail bush", From: "box line"}, {What: ThicknessVariation, Of: "plate"}, {What: OffsetX, Of: "tail/tail bush"}, {What: Use}, {What: ChainLength, Of: "main bearing end play"}}
		swaps, err := s.Swaps(state, out)
		if err != nil {
			t.Fatal(err)
		}
		plates, tails := len(s.Candidates[0].Parts), len(s.Candidates[1].Parts)
		all := (plates + 1) * (tails + 1)
		for n := range 2 * all { // first one plate after the other to each tail, then one tail after the other
			picks := []int{n % (plates + 1), n / (plates + 1)}
			if n >= all {
				picks = []int{(n - all) / (tails + 1), n % (tails + 1)}
			}
			if err := swaps.Put(picks); err != nil {
				t.Fatal(err)
			}
			alone := s
			for l, c := range s.Candidates {
				if alone.Candidates = s.Candidates; picks[l] > 0 {
					if alone, err = alone.WithCandidate(c.Place, picks[l]-1); err != nil {
						t.Fatal(err)
					}
				}
			}
			if alone.Candidates = nil; state != "" {
				if alone, err = alone.InState(state); err != nil {
					t.Fatal(err)
				}
			}
			ranges, assembles, err := alone.Ranges(out)
			if err != nil {
				t.Fatal(err)
			}
			if swaps.Assembles() != assembles {
				t.Errorf("%v: assembles %v, alone %v", picks, swaps.Assembles(), assembles)
			}
			for i, r := range ranges {
				rest, err := swaps.Rest(i)
				if err != nil {
					t.Fatal(err)
				}
				lo, _, err := swaps.Ends(i, true, false)
				if err != nil {
					t.Fatal(err)
				}
				_, hi, err := swaps.Ends(i, false, true)
				if err != nil {
					t.Fatal(err)
				}
				for k, want := range []float64{r.Rest.Or(math.Inf(1)), r.Low.Or(math.Inf(1)), r.High.Or(math.Inf(1))} {
					if got := []float64{rest, lo, hi}[k]; math.Abs(got-want) > 1e-12 {
						t.Errorf("%q %v output %d: %v at rest or an end, alone %v", state, picks, i, got, want)
					}
				}
			}
		}
	}
}
