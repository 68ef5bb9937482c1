package allocate

import "math"

// smooth are inputs whose cost is a function of the scale, with the variance of each at a scale of 1.
type smooth struct {
	costs []*Cost
	own   []float64
}

// Bounds of the search along functions of cost.
const (
	// steps is into how many scales a function's range is cut, evenly in the logarithm: at first to find the least of
	// cost and price of variance, whose neighbourhood is then searched; of [Sampled] they are the options.
	steps = 24
	// golds are golden sections of that neighbourhood: 0.618⁴⁰ is 4e-9.
	golds = 40
	// prices are halvings of the price of variance, and doublings before.
	prices = 200
	// levels is how many budgets the functions are tabulated for, to be weighed against tables of options.
	levels = 400
)

// at are the scales of least cost plus the price of the variance, with both sums.
func (f *smooth) at(price float64) (scales []float64, cost, weight float64) {
	for i, c := range f.costs {
		s := c.least(func(s float64) float64 { return c.Of(s) + price*f.own[i]*s*s })
		scales = append(scales, s)
		cost += c.Of(s)
		weight += f.own[i] * s * s
	}
	return scales, cost, weight
}

// least is the scale with the least value: the best of the steps, and golden sections between its neighbours.
func (c *Cost) least(of func(float64) float64) float64 {
	step := math.Log(c.To/c.From) / steps
	scale := func(at float64) float64 { return c.From * math.Exp(math.Min(math.Max(at, 0), steps)*step) }
	best, value := 0, math.Inf(1)
	for k := range steps + 1 {
		if v := of(scale(float64(k))); v < value {
			best, value = k, v
		}
	}
	low, high := math.Max(float64(best-1), 0), math.Min(float64(best+1), steps)
	golden := (math.Sqrt(5) - 1) / 2
	for range golds {
		a, b := high-golden*(high-low), low+golden*(high-low)
		if of(scale(a)) <= of(scale(b)) {
			high = b
		} else {
			low = a
		}
	}
	if s := scale((low + high) / 2); of(s) <= value {
		return s
	}
	return scale(float64(best))
}

// within are the scales of least cost within a budget, by the price of variance that just keeps it; ok is false when
// the tightest do not.
//
// Source: Everett, Generalized Lagrange multiplier method for solving problems of optimum allocation of resources,
// Oper. Res. 11 (1963) (from memory): what a price chooses is the cheapest for the variance that it fills.
func (f *smooth) within(budget float64) (scales []float64, price float64, ok bool) {
	if scales, _, weight := f.at(0); weight <= budget {
		return scales, 0, true
	}
	high := 1.0
	for k := 0; ; k++ {
		if _, _, weight := f.at(high); weight <= budget {
			break
		}
		if k == prices {
			break
		}
		high *= 4
	}
	low := 0.0
	for range prices {
		m := math.Sqrt(low * high)
		if low == 0 {
			m = high / 4
		}
		if !(m > low && m < high) || high-low <= high*rounding {
			break
		}
		if _, _, weight := f.at(m); weight <= budget {
			high = m
		} else {
			low = m
		}
	}
	scales, _, weight := f.at(high)
	if weight <= budget {
		return scales, high, true
	}
	weight = 0
	scales = scales[:0]
	for i, c := range f.costs {
		scales = append(scales, c.From)
		weight += f.own[i] * c.From * c.From
	}
	return scales, high, weight <= budget*(1+rounding)
}

// items tabulate the functions' least cost against the variance that they fill.
func (f *smooth) items() (out []item) {
	var tight, loose float64
	for i, c := range f.costs {
		tight += f.own[i] * c.From * c.From
		loose += f.own[i] * c.To * c.To
	}
	if !(tight > 0) { // they move nothing
		_, cost, weight := f.at(0)
		return []item{{weight: weight, cost: cost}}
	}
	for k := range levels + 1 {
		budget := tight * math.Pow(loose/tight, float64(k)/levels)
		if k == 0 {
			budget = tight
		}
		scales, _, ok := f.within(budget)
		if !ok {
			continue
		}
		var v item
		for i, s := range scales {
			v.weight += f.own[i] * s * s
			v.cost += f.costs[i].Of(s)
		}
		out = append(out, v)
	}
	return out
}
