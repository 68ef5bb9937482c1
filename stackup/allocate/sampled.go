package allocate

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
)

// Bounds of an allocation by samples.
const (
	allTried      = 512   // combinations of options that are tried in order of cost, if there are no more
	weightSamples = 4096  // for what each input is to the variance
	firstPrice    = 1e-12 // of the variance, in the greatest cost for all of it: little more than none
	doublings     = 80    // of that price, until options hold
	halvings      = 24    // of the way between the last two prices
	steps         = 24    // into how many scales the range of a function of cost is cut, evenly in the logarithm
	rounding      = 1e-13 // what a sum of costs may lose to it, as a share: some hundred additions
)

// Sampled allocates for any model, by samples: every allocation that is tried is sampled on the same draws, Samples
// of them, and holds the yield when its share of good samples does. Where the options have up to 512 combinations
// they are tried in order of cost, so that the first that holds is the optimum for these samples. Where there are
// more, every input takes what costs least with a price on its share of the variance (total Sobol indices), the
// lowest price whose options hold is the start, and single steps and exchanges of a step of one input for one of
// another follow while they cost less and hold. That is cheap, and not proven. A function of cost is cut into 24
// steps.
//
// It returns a [fault.FieldError] for what cannot be asked, and when no options that were tried hold the yield.
// When ctx is done it returns an error that wraps ctx.Err().
//
// Source: Spotts, Allocation of tolerances to minimize cost of assembly, J. Eng. Ind. 95 (1973), and Lee and Woo,
// Optimum selection of discrete tolerances, J. Mech. Transm. Autom. Des. 111 (1989), for the question; Everett,
// Generalized Lagrange multiplier method, Oper. Res. 11 (1963), for the price of the variance (all from memory).
func Sampled(ctx context.Context, s *stackup.Study, ask Ask, set stackup.Settings) (*Plan, error) {
	if err := ask.check(s); err != nil {
		return nil, err
	}
	if err := set.Whole(stackup.BlockSize); err != nil {
		return nil, err
	}
	t := &trials{ctx: ctx, study: s, ask: ask, set: set, known: map[string]stackup.Figure{}}
	combinations := 1
	for i := range ask.Costs {
		c := &ask.Costs[i]
		o := slices.Clone(c.options())
		slices.SortStableFunc(o, func(a, b Option) int {
			return cmp.Or(cmp.Compare(a.Scale, b.Scale), cmp.Compare(a.Cost, b.Cost))
		})
		t.options = append(t.options, o)
		combinations = min(combinations*len(o), allTried+1)
	}
	if combinations <= allTried {
		return t.all(combinations)
	}
	return t.search()
}

// trials are allocations that are sampled.
type trials struct {
	ctx         context.Context
	study       *stackup.Study
	ask         Ask
	set         stackup.Settings
	options     [][]Option // by input, the tightest first
	known       map[string]stackup.Figure
	evaluations int
}

// chosen are the options by their places.
func (t *trials) chosen(at []int) (out []Option) {
	for i, k := range at {
		out = append(out, t.options[i][k])
	}
	return out
}

func (t *trials) cost(at []int) (sum float64) {
	for i, k := range at {
		sum += t.options[i][k].Cost
	}
	return sum
}

// holds samples an allocation, once.
func (t *trials) holds(at []int) (bool, error) {
	key := fmt.Sprint(at)
	y, ok := t.known[key]
	if !ok {
		s, err := t.ask.scaled(t.study, t.chosen(at))
		if err != nil {
			return false, err
		}
		set := t.set
		set.Progress = t.set.Part(fmt.Sprintf("allocation %d", len(t.known)+1), t.evaluations, t.evaluations+set.Samples)
		acc, err := s.Run(t.ctx, set)
		if err != nil {
			return false, err
		}
		t.evaluations += set.Samples
		q := acc.Summary(0)
		y = stackup.Figure{Value: q.Yield, Error: q.YieldError, Interval: q.YieldInterval}
		t.known[key] = y
	}
	return y.Value >= t.ask.Yield, nil
}

// plan is the answer.
func (t *trials) plan(at []int, method string, bound float64) *Plan {
	out := &Plan{Cost: t.cost(at), Yield: t.known[fmt.Sprint(at)], Evaluations: t.evaluations, Bound: bound}
	for i, o := range t.chosen(at) {
		out.Choices = append(out.Choices, Choice{t.ask.Costs[i].Input, o})
	}
	out.Method = fmt.Sprintf("%d samples of each allocation, on the same draws: %s", t.set.Samples, method)
	return out
}

func (t *trials) nothing() error {
	return fault.At(t.study.Responses[t.ask.Response].Name, fmt.Sprintf("no options hold a yield of %g", t.ask.Yield), "smaller spreads among them, or less to hold", fault.ErrOutOfRange)
}

// all tries every combination in order of cost.
func (t *trials) all(combinations int) (*Plan, error) {
	list := make([][]int, combinations)
	for n := range list {
		for i, rest := 0, n; i < len(t.options); i++ {
			list[n] = append(list[n], rest%len(t.options[i]))
			rest /= len(t.options[i])
		}
	}
	slices.SortStableFunc(list, func(a, b []int) int { return cmp.Compare(t.cost(a), t.cost(b)) })
	for _, at := range list {
		ok, err := t.holds(at)
		if err != nil {
			return nil, err
		}
		if ok {
			return t.plan(at, fmt.Sprintf("all cheaper ones of %d combinations were tried and do not hold", combinations), t.cost(at)), nil
		}
	}
	return nil, t.nothing()
}

// search starts from a price of the variance, and exchanges steps.
func (t *trials) search() (*Plan, error) {
	shares, err := t.shares()
	if err != nil {
		return nil, err
	}
	at, err := t.start(shares)
	if err != nil {
		return nil, err
	}
	for better := true; better; {
		if at, better, err = t.exchange(at); err != nil {
			return nil, err
		}
	}
	return t.plan(at, "a price on shares of the variance, then exchanges of steps: good, not proven", math.NaN()), nil
}

// shares are those that the inputs with costs have in the variance; all alike of a number without one.
func (t *trials) shares() (out []float64, err error) {
	one := *t.study
	one.Responses = one.Responses[t.ask.Response : t.ask.Response+1]
	set := stackup.Settings{Samples: weightSamples, Seed: t.set.Seed, Workers: t.set.Workers}
	x, err := one.SobolIndices(t.ctx, set)
	if err != nil && !errors.Is(err, fault.ErrNotFinite) {
		return nil, err
	}
	t.evaluations += weightSamples * (len(one.Inputs) + 2)
	for i := range t.ask.Costs {
		own := 1.0
		if err == nil {
			own = math.Max(x.Of(0)[place(t.study, t.ask.Costs[i].Input)].Total.Value, 0)
		}
		out = append(out, own)
	}
	return out, nil
}

// start are the options that hold at the lowest price of the variance, or else the tightest.
func (t *trials) start(shares []float64) ([]int, error) {
	greatest := 0.0
	try := func(price float64) (at []int, holds bool, err error) {
		for i, list := range t.options {
			dear := func(k int) float64 { return list[k].Cost + price*shares[i]*list[k].Scale*list[k].Scale }
			best := 0
			for k := range list {
				if dear(k) < dear(best) {
					best = k
				}
				greatest = math.Max(greatest, math.Abs(list[k].Cost))
			}
			at = append(at, best)
		}
		holds, err = t.holds(at)
		return at, holds, err
	}
	best, ok, err := try(0)
	if ok || err != nil {
		return best, err
	}
	low, high := 0.0, firstPrice*greatest
	for range doublings {
		if best, ok, err = try(high); ok || err != nil {
			break
		}
		low, high = high, 2*high
	}
	if err != nil {
		return nil, err
	}
	if !ok {
		best = make([]int, len(t.options))
		if ok, err = t.holds(best); !ok && err == nil {
			err = t.nothing()
		}
		return best, err
	}
	for range halvings {
		m := (low + high) / 2
		at, ok, err := try(m)
		switch {
		case err != nil:
			return nil, err
		case ok:
			high, best = m, at
		default:
			low = m
		}
	}
	return best, nil
}

// exchange tries to take another option of one input, or of two, that costs less in all and holds: the greatest
// saving first.
func (t *trials) exchange(at []int) (next []int, better bool, err error) {
	now := t.cost(at)
	var list [][]int
	add := func(i, a, j, b int) {
		if a < 0 || b < 0 || a >= len(t.options[i]) || b >= len(t.options[j]) {
			return
		}
		v := slices.Clone(at)
		v[i], v[j] = a, b
		if t.cost(v) < now-rounding*math.Abs(now) {
			list = append(list, v)
		}
	}
	for i := range at {
		add(i, at[i]+1, i, at[i]+1)
		add(i, at[i]-1, i, at[i]-1)
		for j := range at {
			if j != i {
				add(i, at[i]+1, j, at[j]-1)
				add(i, at[i]+2, j, at[j]-1)
			}
		}
	}
	slices.SortStableFunc(list, func(a, b []int) int { return cmp.Compare(t.cost(a), t.cost(b)) })
	for _, v := range list {
		ok, err := t.holds(v)
		if err != nil || ok {
			return v, ok, err
		}
	}
	return at, false, nil
}
