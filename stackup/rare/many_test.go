package rare_test

import (
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

// Of many deviations samples that fail are far away, and their ways are near; of more ways than are kept it is said, all but
// always, that there are. One in forty may stay unfound.
//
// Source: hand calculation: 1 − (1 − p/n)ⁿ, p to a millionth of it.
func TestFailures_many(t *testing.T) {
	const p, repeats = 1e-6, 6
	for _, n := range []int{40, 80} {
		all, silent := 0, 0
		for seed := range repeats {
			r := failures(t, worstOf(n, p), stackup.Settings{Samples: 64 * rare.LineUnit, Seed: uint64(seed)})
			near := math.Abs(r.Failure.Value-p) < 0.06*p
			if near {
				all++
			}
			if !near && r.Doubt == "" {
				silent++
			}
		}
		if (all >= repeats-1) != (n < 64) || silent > 1 {
			t.Errorf("%d: %d of %d find all ways, %d do not and do not say so", n, all, repeats, silent)
		}
	}
}
