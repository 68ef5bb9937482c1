package allocate

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
)

// Bounds of an allocation by samples.
const (
	allTried = 512   // combinations of options that are tried in order of cost, if there are no more
	rounding = 1e-13 // what a sum of costs may lose to it, as a share: some hundred additions
)

// Sampled allocates for any model, by samples: every allocation that is tried is sampled on the same draws, Samples
// of them, and holds the yield when its share of good samples does. Where the options have up to 512 combinations
// they are tried in order of cost, so that the first that holds is the optimum for these samples. Where there are
// more, every input starts from its tightest option, and another option of one input, or a step of one for a step or two
// of another, follow while they cost less in all and hold, the greatest saving first. That is cheap, and not proven.
//
// It returns a [fault.FieldError] for what cannot be asked, and when no options that were tried hold the yield.
// When ctx is done it returns an error that wraps ctx.Err().
//
// Source: Spotts, Allocation of tolerances to minimize cost of assembly, J. Eng. Ind. 95 (1973), and Lee and Woo,
// Optimum selection of discrete tolerances, J. Mech. Transm. Autom. Des. 111 (1989), for the question (from memory).
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
		o := slices.Clone(c.Options)
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

// search exchanges options of the tightest ones until nothing cheaper holds.
func (t *trials) search() (*Plan, error) {
	at := make([]int, len(t.options))
	ok, err := t.holds(at)
	if err == nil && !ok {
		err = t.nothing()
	}
	for better := true; better && err == nil; {
		at, better, err = t.exchange(at)
	}
	if err != nil {
		return nil, err
	}
	return t.plan(at, "exchanges of options, from the tightest: good, not proven", math.NaN()), nil
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
		for k := range t.options[i] {
			add(i, k, i, k)
		}
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
