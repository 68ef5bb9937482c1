package pair_test

import (
	"math"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/advise/pair"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// Three bins, each combination judged by a run of its own record: no way has more boxes than the bound,
// the ones chosen are all there are where it says proved, and the gap of the tightest is honest.
//
// Source: every choice tried.
func TestChoose_threeBins(t *testing.T) {
	built := 0
	for seed, spread := range []float64{0.008, 0.012} {
		rec := bench(t, uint64(seed)+11, lot{plates: 2, tails: 1, cases: 2, spread: spread})
		table, err := pair.Try(t.Context(), pair.Box{Box: boxOf(t, rec)})
		if err != nil {
			t.Fatal(err)
		}
		p, err := table.Choose(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		bins := table.Bins()
		if len(bins) != 3 {
			t.Fatalf("%d bins", len(bins))
		}
		var ways []way
		for i, a := range bins[0] {
			for j, b := range bins[1] {
				for k, c := range bins[2] {
					res, err := study.Run(t.Context(), inPlace(t, rec, picked(rec, a, b, c)))
					if err != nil {
						t.Fatal(err)
					}
					if res.Word == tolerance.Pass {
						ways = append(ways, way{[3]int{i, j, k}, res.Verdicts[0].Worst.Or(res.Verdicts[0].Value.Value)})
					}
				}
			}
		}
		most, low := bestOf(ways, nil)
		switch {
		case len(p.Boxes) > most || p.Most < most:
			t.Errorf("seed %d: %d boxes, at most %d; there are %d", seed, len(p.Boxes), p.Most, most)
		case len(p.Boxes) == most && most > 0 && (p.Boxes[0].Left > low+1e-9 || p.Least < low-1e-9):
			t.Errorf("seed %d: tightest %g, at most %g; it is %g", seed, p.Boxes[0].Left, p.Least, low)
		case p.Proved && (len(p.Boxes) != most || most > 0 && math.Abs(p.Boxes[0].Left-low) > 1e-9):
			t.Errorf("seed %d: proved %d boxes, tightest %v; there are %d, %g", seed, len(p.Boxes), p.Boxes, most, low)
		}
		built += most
		for _, m := range p.Boxes {
			if res, err := study.Run(t.Context(), inPlace(t, rec, m.Parts)); err != nil || res.Word != tolerance.Pass {
				t.Errorf("seed %d: %v does not pass: %v", seed, m.Parts, err)
			}
		}
	}
	if built < 2 {
		t.Errorf("%d boxes in all: the cases test little", built)
	}
}

// picked are parts of the record's bins by their names, in the order of the bins.
func picked(rec *record.Record, names ...string) (out []pair.Pick) {
	for b, c := range rec.Candidates {
		out = append(out, pair.Pick{Place: c.Name, Name: names[b]})
	}
	return out
}

// way is a box that passes.
type way struct {
	of   [3]int
	left float64
}

// bestOf tries every way to take boxes that share no part.
func bestOf(list []way, taken []way) (most int, low float64) {
	if len(list) == 0 {
		low = math.Inf(1)
		for _, w := range taken {
			low = math.Min(low, w.left)
		}
		return len(taken), low
	}
	most, low = bestOf(list[1:], taken)
	for _, w := range taken {
		for b := range w.of {
			if w.of[b] == list[0].of[b] {
				return most, low
			}
		}
	}
	if n, l := bestOf(list[1:], append(taken[:len(taken):len(taken)], list[0])); n > most || n == most && l > low {
		return n, l
	}
	return most, low
}

// Twelve of each, poor and fair: the bound is stated and close.
func TestChoose_threeBinsGap(t *testing.T) {
	rec := bench(t, 2, lot{plates: 11, tails: 11, cases: 11, spread: 0.01})
	table, err := pair.Try(t.Context(), pair.Box{Box: boxOf(t, rec)})
	if err != nil {
		t.Fatal(err)
	}
	p, err := table.Choose(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if table.Combinations() != 12*12*12 || len(p.Boxes) < 4 {
		t.Errorf("%d combinations, %d boxes: the case tests little", table.Combinations(), len(p.Boxes))
	}
	if gap := p.Most - len(p.Boxes); gap < 0 || gap > 1 {
		t.Errorf("%d boxes of at most %d", len(p.Boxes), p.Most)
	}
	if len(p.Boxes) > 0 && p.Boxes[0].Left > p.Least {
		t.Errorf("the tightest has %g, above the bound %g", p.Boxes[0].Left, p.Least)
	}
}

// Without shafts boxes are compared by what is left of the first limit on a number, from its own end.
//
// Source: a second method, the range of each stack.
func TestChoose_withoutShafts(t *testing.T) {
	rec := bench(t, 4, lot{plates: 2, tails: 1, spread: 0.002})
	b := boxOf(t, rec)
	b.Stack.Shafts, b.Stack.Pockets = nil, nil
	of := align.Output{What: align.TIRSize, Of: "tail/tail bush", From: "box line"}
	b.Limits = []record.Limit{{Output: of, Limits: tolerance.Limits{Greatest: tolerance.Given(1.0)}}}
	b.Origin = study.Origin{}
	table, err := pair.Try(t.Context(), pair.Box{Box: b})
	if err != nil {
		t.Fatal(err)
	}
	p, err := table.Choose(t.Context())
	if err != nil || len(p.Boxes) != 2 {
		t.Fatalf("%d boxes, %v", len(p.Boxes), err)
	}
	for _, m := range p.Boxes {
		r, _, err := m.Stack.Ranges([]align.Output{of})
		if err != nil || math.Abs(m.Left-(1-r[0].High.Value)) > 1e-12 {
			t.Errorf("%v: %g left, its range leaves %g, %v", m.Parts, m.Left, 1-r[0].High.Value, err)
		}
	}
}
