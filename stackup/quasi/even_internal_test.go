package quasi

import (
	"context"
	"math"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/num"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// Even samples are drawn without allocating.
func TestSpreader_allocs(t *testing.T) {
	l, err := law.NewDisc(0, 0, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	s := &stackup.Study{
		Model:     stackup.Func{In: 2, Out: 1, Of: func(y, x []float64) error { y[0] = math.Hypot(x[0], x[1]+0.1); return nil }},
		Inputs:    []stackup.Input{{Name: "disc", Joint: l}},
		Responses: []stackup.Response{{Name: "size", Limits: tolerance.AtMost(0.55)}},
	}
	const n = stackup.BatchSize
	w, e := newSpreader(context.Background(), s, n), &Result{responses: s.Responses, y: num.Columns(1, n), good: num.Columns(1, 1)}
	w.begin(1, 0)
	if got := testing.AllocsPerRun(5, func() {
		w.begin(1, 0)
		w.draw(n)
		if err := e.keep(w, 0, 0, n); err != nil {
			t.Fatal(err)
		}
	}); got != 0 {
		t.Errorf("%v allocations", got)
	}
}
