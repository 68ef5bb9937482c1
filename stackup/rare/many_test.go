package rare_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
	"example.com/borestack/stackup/rare"
)

// worstOf is the greatest of n normal deviations, which fails with a chance p.
func worstOf(n int, p float64) *stackup.Study {
	s := &stackup.Study{
		Model: stacktest.One(n, func(x []float64) (most float64) {
			for _, v := range x {
				most = math.Max(most, v)
			}
			return most
		}),
		Responses: []stackup.Response{stacktest.Greatest("worst", -law.StandardQuantile(p/float64(n)))},
	}
	for i := range n {
		s.Inputs = append(s.Inputs, stacktest.Normal(fmt.Sprint("n", i), 0, 1))
	}
	return s
}

// Of many deviations samples that fail are far away, and their ways are near; of more ways than are kept it is said
// that there are. One in forty may stay unfound.
//
// Source: hand calculation: 1 − (1 − p/n)ⁿ, p to a millionth of it.
func TestFailures_many(t *testing.T) {
	const p = 1e-6
	set := stackup.Settings{Samples: 16 * stackup.BlockSize, Seed: 1}
	for _, n := range []int{40, 80} {
		a, err := rare.Find(context.Background(), worstOf(n, p), 0, set)
		if err != nil {
			t.Fatal(err)
		}
		about, err := a.Sample(context.Background(), set)
		if err != nil {
			t.Fatal(err)
		}
		lines, err := a.Lines(context.Background(), stackup.Settings{Samples: 64 * rare.LineUnit, Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range []*rare.Rare{about, lines} {
			if near := math.Abs(r.Failure.Value-p) < 0.05*p; near != (n < 64) || near != (r.Doubt == "") {
				t.Errorf("%d: %d ways, %+v, %q", n, a.Ways(), r.Failure, r.Doubt)
			}
		}
	}
}
