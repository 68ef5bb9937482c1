package allocate

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The selection is the cheapest within the budget, and the bound never above it. Source: second method: every
// combination.
func TestCheapest_bruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	nothing := 0
	for range 500 {
		groups := make([][]item, 1+r.IntN(5))
		for i := range groups {
			for k := range 1 + r.IntN(5) {
				groups[i] = append(groups[i], item{weight: math.Round(20*r.Float64()) / 4, cost: math.Round(100*r.Float64()) / 10, at: k})
			}
		}
		budget := 3 * float64(len(groups)) * r.Float64()
		best := math.Inf(1)
		var try func(i int, weight, cost float64)
		try = func(i int, weight, cost float64) {
			switch {
			case i < len(groups):
				for _, v := range groups[i] {
					try(i+1, weight+v.weight, cost+v.cost)
				}
			case weight <= budget:
				best = math.Min(best, cost)
			}
		}
		try(0, 0, 0)
		choice, bound, ok := cheapest(groups, budget)
		if ok == math.IsInf(best, 1) {
			t.Fatalf("%v within %v: %v, want %v", groups, budget, choice, best)
		}
		if !ok {
			nothing++
			continue
		}
		var weight, cost float64
		for i, k := range choice {
			weight, cost = weight+groups[i][k].weight, cost+groups[i][k].cost
		}
		if math.Abs(cost-best) > 1e-9 || weight > budget+1e-9 || bound > best+1e-9 {
			t.Fatalf("%v within %v: cost %v, weight %v, bound %v, want %v", groups, budget, cost, weight, bound, best)
		}
	}
	if nothing == 0 || nothing > 250 {
		t.Errorf("%d cases of 500 have no answer", nothing)
	}
}
