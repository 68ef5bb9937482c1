package align_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	. "example.com/borestack/align"
	"example.com/borestack/fault"
)

// Every box that candidates make is worked out as if it were alone.
//
// Source: a second method, Stack.Ranges of the stack with the candidates in their places.
func TestSwaps_sameAsAlone(t *testing.T) {
	for _, state := range []string{"", "warm"} {
		s := benchStack(t)
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

// The parts in place are picked from the start, and picks of other lists or candidates than there
// are, are refused by an error that says where.
//
// Source: Stack.Ranges of the stack as it is, a second method.
func TestSwaps_picks(t *testing.T) {
	s := benchStack(t)
	out := []Output{{What: Margin}}
	want, assembles, err := s.Ranges(out)
	if err != nil {
		t.Fatal(err)
	}
	swaps, err := s.Swaps("", out)
	if err != nil {
		t.Fatal(err)
	}
	rest, err := swaps.Rest(0)
	if err != nil {
		t.Fatal(err)
	}
	lo, hi, err := swaps.Ends(0, true, true)
	if err != nil {
		t.Fatal(err)
	}
	if rest != want[0].Rest.Value || lo != want[0].Low.Value || hi != want[0].High.Value || swaps.Assembles() != assembles {
		t.Errorf("rest %v, ends %v to %v, want %+v", rest, lo, hi, want[0])
	}
	for _, picks := range [][]int{nil, {0}, {0, 0, 0}, {-1, 0}, {0, len(s.Candidates[1].Parts) + 1}} {
		var wrong *fault.FieldError
		if err := swaps.Put(picks); !errors.As(err, &wrong) || !strings.HasPrefix(wrong.Path, "/candidates") {
			t.Errorf("picks %v: %v, want an error at the candidates", picks, err)
		}
	}
}
