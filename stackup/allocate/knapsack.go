package allocate

import (
	"cmp"
	"math"
	"slices"
)

// item is one option of one input: how much of the budget it uses, and what it costs.
type item struct {
	weight, cost float64
	at           int // of the options
}

// undominated are the elements that no other beats in both weight and cost, the lightest first.
func undominated[T any](list []T, of func(T) item) (out []T) {
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b T) int {
		return cmp.Or(cmp.Compare(of(a).weight, of(b).weight), cmp.Compare(of(a).cost, of(b).cost))
	})
	least := math.Inf(1)
	for _, v := range list {
		if c := of(v).cost; c < least {
			out, least = append(out, v), c
		}
	}
	return out
}

// relaxed is the greatest Lagrangian bound on the cost within a budget, with its multiplier, and the cost of the
// cheapest selection that the multipliers tried put within the budget; +Inf: none.
//
// Source: Everett, Generalized Lagrange multiplier method for solving problems of optimum allocation of resources,
// Oper. Res. 11 (1963) (from memory).
func relaxed(groups [][]item, budget float64) (multiplier, bound, within float64) {
	const doublings, halvings = 200, 100
	within = math.Inf(1)
	at := func(lambda float64) (value, weight float64) {
		var cost float64
		for _, g := range groups {
			best := slices.MinFunc(g, func(a, b item) int { return cmp.Compare(a.cost+lambda*a.weight, b.cost+lambda*b.weight) })
			cost += best.cost
			weight += best.weight
		}
		if weight <= budget {
			within = math.Min(within, cost)
		}
		return cost + lambda*(weight-budget), weight
	}
	bound, weight := at(0)
	if weight <= budget {
		return 0, bound, within
	}
	try := func(lambda float64) bool { // whether it keeps the budget
		v, weight := at(lambda)
		if v > bound {
			bound, multiplier = v, lambda
		}
		return weight <= budget
	}
	high := math.SmallestNonzeroFloat64
	scale := 0.0
	for _, g := range groups {
		for _, v := range g {
			scale = math.Max(scale, math.Abs(v.cost))
		}
	}
	if budget > 0 && scale > 0 {
		high = scale / budget
	}
	low := 0.0
	for range doublings {
		if try(high) {
			break
		}
		low, high = high, 2*high
	}
	for range halvings {
		m := (low + high) / 2
		if try(m) {
			high = m
		} else {
			low = m
		}
	}
	return multiplier, bound, within
}

// state is a selection of the first groups.
type state struct {
	item
	from int // the state that it continues
}

// cheapest selects one item of every group at the least cost within the budget; ok is false when the lightest are too
// heavy. bound is the Lagrangian bound. States that cost and weigh more than another are dropped, and those that a
// bound shows cannot come to the best: the answer is the optimum.
//
// Source: Sinha and Zoltners, The multiple-choice knapsack problem, Oper. Res. 27 (1979) (from memory).
func cheapest(all [][]item, budget float64) (choice []int, bound float64, ok bool) {
	groups := make([][]item, len(all))
	var lightest float64
	for i := range all {
		groups[i] = undominated(all[i], func(v item) item { return v })
		lightest += groups[i][0].weight
	}
	if !(lightest <= budget) {
		return nil, 0, false
	}
	lambda, bound, within := relaxed(groups, budget)
	rest := make([]float64, len(groups)+1) // bounds on cost and weight of the groups from i on
	light := make([]float64, len(groups)+1)
	for i := len(groups) - 1; i >= 0; i-- {
		best := math.Inf(1)
		for _, v := range groups[i] {
			best = math.Min(best, v.cost+lambda*v.weight)
		}
		rest[i], light[i] = rest[i+1]+best, light[i+1]+groups[i][0].weight
	}
	slack := rounding * (1 + math.Abs(within))
	stages := [][]state{{{}}}
	for i, g := range groups {
		var next []state
		for from, q := range stages[i] {
			for _, v := range g {
				w, c := q.weight+v.weight, q.cost+v.cost
				if w+light[i+1] > budget*(1+rounding) || c+lambda*(w-budget)+rest[i+1] > within+slack {
					continue
				}
				next = append(next, state{item{w, c, v.at}, from})
			}
		}
		stages = append(stages, undominated(next, func(s state) item { return s.item }))
	}
	last := stages[len(groups)]
	if len(last) == 0 {
		return nil, bound, false
	}
	choice = make([]int, len(groups))
	k := len(last) - 1 // the heaviest of those that are not dominated is the cheapest
	for i := len(groups); i > 0; i-- {
		choice[i-1] = stages[i][k].at
		k = stages[i][k].from
	}
	return choice, math.Min(bound, last[len(last)-1].cost), true
}

// rounding is how much of a sum of weights or costs may be lost to rounding, as a share: some hundred additions.
const rounding = 1e-13
