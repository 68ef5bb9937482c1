package allocate

import (
	"fmt"
	"math"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
)

// Linear allocates for a study whose linear model is l, taking the wanted number as normal: each input adds its share
// of the variance, times its scale squared. Of tables of options the answer is the optimum. Along functions of cost it
// is the optimum where they are convex in the scale squared, as reciprocal costs are; Bound says how far off it can be.
// Functions beside tables are weighed against them in 400 steps.
//
// It returns an [stackup.InputError] for what cannot be asked, for a number that does not follow its inputs along a
// line ([stackup.Linear.Doubt]), and when no options hold the yield.
//
// Source: Spotts, Allocation of tolerances to minimize cost of assembly, J. Eng. Ind. 95 (1973), and Lee and Woo,
// Optimum selection of discrete tolerances, J. Mech. Transm. Autom. Des. 111 (1989), for the question; Sinha and
// Zoltners, The multiple-choice knapsack problem, Oper. Res. 27 (1979), for tables; Everett, Generalized Lagrange
// multiplier method, Oper. Res. 11 (1963), for functions (all from memory).
func Linear(s *stackup.Study, l *stackup.Linear, ask Ask) (*Plan, error) {
	p, err := ask.linear(s, l)
	if err != nil {
		return nil, err
	}
	budget := p.budget(ask.Yield)
	choices, bound, ok := ask.within(p, budget)
	if !ok {
		return nil, p.tooMuch(ask.Yield)
	}
	out := ask.plan(choices)
	out.Bound = bound
	y := p.yield(p.variance(choices))
	out.Yield = stackup.Figure{Value: y, Interval: [2]float64{y, y}}
	out.Method = "linear model, normal law: multiple-choice knapsack by dominance and Lagrangian bounds, the optimum of the options (Sinha and Zoltners 1979)"
	for i := range ask.Costs {
		if ask.Costs[i].Of != nil {
			out.Method += "; functions of cost by the price of variance (Everett 1963)"
			break
		}
	}
	return out, nil
}

// parts are what a wanted number is made of to first order.
type parts struct {
	name            string
	mean            float64
	fixed           float64   // variance of the inputs that stay
	own             []float64 // variance of each input that is asked about, at a scale of 1
	least, greatest float64
}

// linear takes a study apart.
func (a *Ask) linear(s *stackup.Study, l *stackup.Linear) (*parts, error) {
	if err := a.check(s); err != nil {
		return nil, err
	}
	if err := s.SecondMoments(); err != nil {
		return nil, err
	}
	w := &s.Wanted[a.Wanted]
	if why := l.Doubt(w.Output); why != "" {
		return nil, &stackup.InputError{Name: w.Name, What: why, Want: "a number that is nearly linear, or an allocation by samples"}
	}
	sum := l.Spread(s, w.Output, -1)
	p := &parts{name: w.Name, mean: sum.Mean[0], fixed: sum.XX, least: w.Limits.Least.Or(math.Inf(-1)), greatest: w.Limits.Greatest.Or(math.Inf(1))}
	for i := range a.Costs {
		v := sum.Shares[place(s, a.Costs[i].Input)] * sum.XX
		p.own = append(p.own, v)
		p.fixed -= v
	}
	p.fixed = math.Max(p.fixed, 0)
	if !(p.mean >= p.least && p.mean <= p.greatest) {
		return nil, &stackup.InputError{Name: p.name, What: fmt.Sprintf("a mean of %g, outside its limits", p.mean), Want: "a mean within them: no spread is small enough"}
	}
	return p, nil
}

// yield is the share within limits with a variance.
func (p *parts) yield(variance float64) float64 {
	n, err := law.NewNormal(p.mean, math.Sqrt(math.Max(variance, 0)))
	if err != nil {
		return math.NaN()
	}
	out := n.Survival(p.greatest)
	if p.least > math.Inf(-1) {
		out += n.CDF(math.Nextafter(p.least, math.Inf(-1)))
	}
	return 1 - out
}

// variance is that with these choices.
func (p *parts) variance(choices []Option) float64 {
	v := p.fixed
	for i, o := range choices {
		v += p.own[i] * o.Scale * o.Scale
	}
	return v
}

// budget is the greatest variance with which the yield is held, that of the inputs that stay taken off.
func (p *parts) budget(yield float64) float64 {
	const doublings, halvings = 2000, 200
	low, high := 0.0, math.Max(p.fixed, math.SmallestNonzeroFloat64)
	for _, v := range p.own {
		high += v
	}
	for k := 0; k < doublings && p.yield(high) >= yield; k++ {
		low, high = high, 2*high
	}
	for range halvings {
		m := (low + high) / 2
		if p.yield(m) >= yield {
			low = m
		} else {
			high = m
		}
	}
	return low - p.fixed
}

func (p *parts) tooMuch(yield float64) error {
	return &stackup.InputError{Name: p.name, What: fmt.Sprintf("no options hold a yield of %g", yield), Want: "smaller spreads among them, or less to hold"}
}

// within are the cheapest options within a variance, and a bound on their cost. Functions of cost stand as one input
// beside the tables, and are then given what the chosen options leave.
func (a *Ask) within(p *parts, budget float64) (choices []Option, bound float64, ok bool) {
	f := &smooth{}
	var groups [][]item
	for i := range a.Costs {
		c := &a.Costs[i]
		if c.Of != nil {
			f.costs, f.own = append(f.costs, c), append(f.own, p.own[i])
			continue
		}
		var g []item
		for k, o := range c.Options {
			g = append(g, item{p.own[i] * o.Scale * o.Scale, o.Cost, k})
		}
		groups = append(groups, g)
	}
	tables := len(groups)
	if len(f.costs) > 0 && tables > 0 {
		groups = append(groups, f.items())
	}
	var choice []int
	if tables > 0 {
		if choice, bound, ok = cheapest(groups, budget); !ok {
			return nil, 0, false
		}
	}
	choices = make([]Option, len(a.Costs))
	left, n := budget, 0
	for i := range a.Costs {
		if a.Costs[i].Of == nil {
			choices[i] = a.Costs[i].Options[choice[n]]
			left -= groups[n][choice[n]].weight
			n++
		}
	}
	if len(f.costs) == 0 {
		return choices, bound, true
	}
	scales, price, ok := f.within(left)
	if !ok {
		return nil, 0, false
	}
	n = 0
	for i := range a.Costs {
		if c := &a.Costs[i]; c.Of != nil {
			choices[i] = Option{Scale: scales[n], Cost: c.Of(scales[n])}
			n++
		}
	}
	_, cost, weight := f.at(price)
	bound = cost + price*(weight-budget)
	for _, g := range groups[:tables] {
		least := math.Inf(1)
		for _, v := range g {
			least = math.Min(least, v.cost+price*v.weight)
		}
		bound += least
	}
	return choices, bound, true
}
