package pair_test

import (
	"errors"
	"slices"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/advise/pair"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Two tables extended from one by different parts know nothing of each other's.
//
// Source: a second method, the same parts tried all at once.
func TestTable_Extend_twice(t *testing.T) {
	b := boxOf(t, bench(t, 5, lot{plates: 3, tails: 2, spread: 0.001}))
	with := func(plates ...int) pair.Box {
		q := pair.Box{Box: b, Workers: 1}
		q.Stack = b.Stack.Clone()
		q.Stack.Candidates = slices.Clone(b.Stack.Candidates)
		var list []align.Part
		for _, n := range plates {
			list = append(list, b.Stack.Candidates[0].Parts[n])
		}
		q.Stack.Candidates[0].Parts, q.Origin = list, study.Origin{}
		return q
	}
	old, err := pair.Try(t.Context(), with(0))
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range []int{1, 2} {
		next, err := old.Extend(t.Context(), with(0, n).Box)
		if err != nil {
			t.Fatal(err)
		}
		whole, err := pair.Try(t.Context(), with(0, n))
		if err != nil {
			t.Fatal(err)
		}
		if got, want := written(t, next), written(t, whole); got != want {
			t.Errorf("with plate %d more:\n%s\nall at once:\n%s", n+1, got, want)
		}
	}
}

// A box that differs in more than the parts behind its bins is refused: what is known of it does not hold.
func TestTable_Extend_anotherBox(t *testing.T) {
	b := boxOf(t, bench(t, 5, lot{plates: 1, tails: 1, spread: 0.001}))
	table, err := pair.Try(t.Context(), pair.Box{Box: b})
	if err != nil {
		t.Fatal(err)
	}
	again := func() (pair.Box, *align.Part, *align.Part) {
		q := pair.Box{Box: boxOf(t, bench(t, 5, lot{plates: 1, tails: 1, spread: 0.001}))}
		return q, &q.Stack.Parts[2], &q.Stack.Candidates[0].Parts[0]
	}
	same, _, _ := again()
	if _, err := table.Extend(t.Context(), same.Box); err != nil {
		t.Errorf("the same box: %v", err)
	}
	for say, change := range map[string]func(q *pair.Box, place, candidate *align.Part){
		"a limit":            func(q *pair.Box, _, _ *align.Part) { q.Limits[0].Least = tolerance.Given(0.5) },
		"a part in place":    func(_ *pair.Box, place, _ *align.Part) { place.Rear.Pilot.Diameter -= 0.05 },
		"a candidate":        func(_ *pair.Box, _, candidate *align.Part) { candidate.Rear.Pilot.Diameter -= 0.05 },
		"a shaft's position": func(q *pair.Box, _, _ *align.Part) { q.Stack.Shafts[0].Supports[0].Clearance += 0.01 },
	} {
		q, place, candidate := again()
		change(&q, place, candidate)
		if _, err := table.Extend(t.Context(), q.Box); !errors.Is(err, fault.ErrConflict) {
			t.Errorf("%s: %v", say, err)
		}
	}
}
