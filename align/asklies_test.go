package align_test

import (
	"os"
	"testing"

	. "example.com/borestack/align"
	"example.com/borestack/align/record"
)

// What cannot be asked leaves the evaluator as it was, joints that come before the fault included.
func TestEvaluator_Ask_fault(t *testing.T) {
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
