package study_test

import (
	"math"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// What was made of a box widens a guard band by each amount's own effect, independent of the others.
//
// Source: JCGM 100:2008, 5.1.2: 0.003 and 0.004 make 0.005; with 1.65 of them 0.00825 is enough for a
// pass and 0.0082 is not.
func TestJudge_varied(t *testing.T) {
	gap := func(length tolerance.Length) align.Stack {
		return align.Stack{
			Parts:  []align.Part{{Name: "bed"}},
			Chains: []align.Chain{{Name: "play", Links: []align.Link{{Name: "all", Length: length}}}},
		}
	}
	for least, want := range map[float64]tolerance.Decision{0.5 - 0.00826: tolerance.Pass, 0.5 - 0.0082: tolerance.Undecided, 0.5 + 0.00826: tolerance.Fail} {
		limit := record.Limit{Output: align.Output{What: align.ChainLength, Of: "play"}, Limits: tolerance.AtLeast(least)}
		v, _, err := study.Origin{}.Judge(t.Context(), gap(0.5), []record.Limit{limit}, gap(0.503), gap(0.496))
		if err != nil {
			t.Fatal(err)
		}
		if v[0].Word != want || math.Abs(v[0].U-0.005) > 1e-12 {
			t.Errorf("at least %v: %v, u %v", least, v[0].Word, v[0].U)
		}
	}
}
