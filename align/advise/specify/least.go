package specify

import "math"

// cut is a rule that zones have to keep: Σ slope_k t_k^power ≤ room.
type cut struct {
	slope []float64
	room  float64
}

// leastCost are the zones of least Σ weight_k / t_k under cuts, none wider than most. By the conditions of
// Karush, Kuhn and Tucker t_k = (weight_k / (p Σ μ slope_k))^(1/(p+1)); the multipliers μ are found by
// raising those of cuts that are broken and lowering the others in proportion.
func leastCost(weight, most []float64, cuts []cut, p float64) []float64 {
	t := make([]float64, len(weight))
	mu := make([]float64, len(cuts))
	for c := range mu {
		mu[c] = 1
	}
	zones := func() {
		for k := range t {
			sum := 0.0
			for c := range cuts {
				sum += mu[c] * cuts[c].slope[k]
			}
			t[k] = most[k]
			if sum > 0 {
				t[k] = min(most[k], math.Pow(weight[k]/(p*sum), 1/(p+1)))
			}
		}
	}
	for range 4000 {
		zones()
		moved := 0.0
		for c := range cuts {
			used := 0.0
			for k := range t {
				used += cuts[c].slope[k] * math.Pow(t[k], p)
			}
			f := math.Pow(used/cuts[c].room, 0.5)
			f = max(0.5, min(2, f))
			if mu[c] *= f; mu[c] > 1e-12 {
				moved = max(moved, math.Abs(f-1))
			}
			mu[c] = max(mu[c], 1e-15)
		}
		if moved < 1e-9 {
			break
		}
	}
	zones()
	// What the multipliers leave open is taken by all zones alike.
	over := 1.0
	for c := range cuts {
		used := 0.0
		for k := range t {
			used += cuts[c].slope[k] * math.Pow(t[k], p)
		}
		over = max(over, math.Pow(used/cuts[c].room, 1/p))
	}
	for k := range t {
		t[k] /= over
	}
	return t
}
