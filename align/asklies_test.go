package align_test

import (
	"errors"
	"os"
	"slices"
	"testing"

	. "example.com/borestack/align"
	"example.com/borestack/align/record"
)

// benchStack is the invented bench of three plates and two tails.
func benchStack(t *testing.T) Stack {
	t.Helper()
	f, err := os.Open("../examples/compare/bench.json")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rec, err := record.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	s, err := rec.Stack()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// What cannot be asked leaves the evaluator as it was, joints that come before the fault included.
func TestEvaluator_Ask_fault(t *testing.T) {
	s := benchStack(t)
	p, err := s.Compile(nil, nil, []Output{{What: Margin}})
	if err != nil {
		t.Fatal(err)
	}
	e := p.NewEvaluator()
	margin := func() float64 {
		y := [][]float64{{0}}
		if err := e.Evaluate(y, nil, 1); err != nil {
			t.Fatal(err)
		}
		return y[0][0]
	}
	before := margin()
	lies := make([]Lie, len(s.Joints))
	for i := range lies {
		lies[i] = LiesRest
	}
	lies[len(lies)-1] = LiesRim + 1
	if err := e.Ask(lies, []Output{{What: Margin}}); err == nil {
		t.Fatal("an unknown way to lie: no error")
	}
	if err := e.Ask(nil, []Output{{What: Margin}}); err != nil {
		t.Fatal(err)
	}
	if after := margin(); after != before {
		t.Errorf("margin %v after what cannot be asked, %v before", after, before)
	}
}

// The same outputs with the joints lying otherwise are worked out anew.
//
// Source: a second method, a plan of its own for each way to lie.
func TestEvaluator_Ask_lies(t *testing.T) {
	s := benchStack(t)
	out := []Output{{What: OffsetY, Of: "tail/tail bush"}}
	asked, err := s.Compile(nil, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	e := asked.NewEvaluator()
	var seen []float64
	for _, l := range []Lie{LiesRest, LiesHang, LiesHang, LiesRest} {
		lies := slices.Repeat([]Lie{l}, len(s.Joints))
		if err := e.Ask(lies, out); err != nil {
			t.Fatal(err)
		}
		own, err := s.Compile(nil, lies, out)
		if err != nil {
			t.Fatal(err)
		}
		y, want := [][]float64{{0}}, [][]float64{{0}}
		if err := errors.Join(e.Evaluate(y, nil, 1), own.NewEvaluator().Evaluate(want, nil, 1)); err != nil || y[0][0] != want[0][0] {
			t.Errorf("lies %v: %v asked, %v by its own plan, %v", l, y, want, err)
		}
		seen = append(seen, y[0][0])
	}
	if seen[0] == seen[1] {
		t.Error("a joint that hangs lies as at rest: the case tests nothing")
	}
}
