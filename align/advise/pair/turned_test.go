package pair_test

import (
	"math"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	"example.com/borestack/align/advise/pair"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// Where the clocking that leaves most does not pass, a box is worth what the best one leaves that does: the pairing
// is the best of all ways, and what it says of itself and of the parts left over holds.
//
// Source: every clocking of every combination judged by study.Origin.Judge, every way tried.
func TestChoose_turned(t *testing.T) {
	const holes = 4
	gap := 0
	for seed := range uint64(3) {
		b := pair.Box{Box: boxOf(t, bench(t, seed+1, lot{plates: 1, tails: 1, spread: 0.015})), Turns: []pair.Turn{{Part: "plate", Holes: holes, Redrill: true}}}
		x := align.Output{What: align.OffsetX, Of: "tail/tail bush", From: "box line"}
		lines := []align.Output{{What: align.Margin}, x}
		way := func(s align.Stack, k int) (align.Stack, error) {
			if k == 0 {
				return s, nil
			}
			turn := tolerance.Angle(2 * math.Pi * float64(k) / holes)
			return advise.Correction{Kind: advise.Reclock, Place: "plate", Redrill: true, Turn: turn}.Apply(s)
		}
		// The limit is held, as measured, by the clocking of the box in place that leaves most, and not within its guard band.
		most, at := math.Inf(-1), 0.0
		for k := range holes {
			s := b.Stack
			s.Candidates = nil
			if s, err := way(s, k); err == nil {
				r, _, err := s.Ranges(lines)
				if v := r[0].Low.Or(r[0].Rest.Value); err == nil && v > most {
					most, at = v, r[1].Rest.Value
				}
			}
		}
		b.Limits = append(b.Limits[:1:1], record.Limit{Output: x, AtRest: true, Limits: tolerance.Limits{Greatest: tolerance.Given(at + 0.003)}})
		table, err := pair.Try(t.Context(), b)
		if err != nil {
			t.Fatal(err)
		}
		p, err := table.Choose(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		var left [][]float64
		for i := range table.Bins()[0] {
			left = append(left, nil)
			for k := range table.Bins()[1] {
				s, o := b.Stack, b.Origin
				for n, pick := range []int{i, k} {
					if s.Candidates = b.Stack.Candidates; pick > 0 {
						place := s.Candidates[n].Place
						if s, err = s.WithCandidate(place, pick-1); err != nil {
							t.Fatal(err)
						}
						o = o.With(place, pick-1)
					}
				}
				s.Candidates = nil
				best := math.NaN()
				for n := range holes {
					made, err := way(s, n)
					if err != nil {
						continue
					}
					v, word, err := o.Judge(t.Context(), made, b.Limits)
					if err == nil && word == tolerance.Pass && !(v[0].Worst.Or(v[0].Value.Value) <= best) {
						best = v[0].Worst.Or(v[0].Value.Value)
					}
				}
				left[i] = append(left[i], best)
			}
		}
		n, low := ways(left, 0, map[int]bool{}, 0, math.Inf(1))
		if len(p.Boxes) == 0 || len(p.Boxes) != n || math.Abs(p.Boxes[0].Left-low) > 1e-9 || math.Abs(p.Least-low) > 1e-9 || !p.Proved {
			t.Errorf("seed %d: %d boxes, tightest at most %g, proved %v: %v; every way tried: %d, %g", seed, len(p.Boxes), p.Least, p.Proved, lefts(p), n, low)
		}
		if low < most-1e-9 {
			gap++
		}
	}
	if gap == 0 {
		t.Error("the best clocking always passes: the case tests nothing")
	}
}

// lefts are what the boxes have left.
func lefts(p *pair.Pairing) (list []float64) {
	for _, m := range p.Boxes {
		list = append(list, m.Left)
	}
	return list
}
