package advise

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// mostSteps bounds the search for kits.
const mostSteps = 2_000_000

// stepsAtOnce is how many steps go between two looks at the context: well under a millisecond.
const stepsAtOnce = 1000

// Kits picks fits that share no part, as many boxes as the scarcest place allows: the most that pass, then the most room in the tightest of them. It returns indices into Fits, best first. Every pick counts as a part of its own, the one measured in place too.
//
// It tries every way, and returns an error that wraps [fault.ErrTooMany] when there are too many, or the cause when ctx ends first.
func (c *Comparison) Kits(ctx context.Context) ([]int, error) {
	if err := stopped(ctx); err != nil {
		return nil, err
	}
	boxes := len(c.Fits)
	for k := range c.Places {
		names := map[string]bool{}
		for i := range c.Fits {
			names[c.Fits[i].Picks[k].label()] = true
		}
		boxes = min(boxes, len(names))
	}
	if len(c.Places) == 0 {
		boxes = min(boxes, 1)
	}
	s := kitSearch{ctx: ctx, c: c, boxes: boxes, used: map[string]bool{}, worst: math.Inf(-1), passing: -1}
	if s.from(0, nil, 0, math.Inf(1)) {
		return s.best, nil
	}
	return nil, cmp.Or(stopped(ctx), fmt.Errorf("advise: kits of %d fits: %w", len(c.Fits), fault.ErrTooMany))
}

// kitSearch is a depth-first search over fits in their order.
type kitSearch struct {
	ctx     context.Context
	c       *Comparison
	boxes   int
	used    map[string]bool
	steps   int
	best    []int
	passing int
	worst   float64 // room of the tightest box of the best
}

// from extends chosen by fits i and on; false: too many steps, or the context has ended.
func (s *kitSearch) from(i int, chosen []int, passing int, tightest float64) bool {
	if s.steps++; s.steps > mostSteps || s.steps%stepsAtOnce == 0 && s.ctx.Err() != nil {
		return false
	}
	if cmp.Or(cmp.Compare(len(chosen), len(s.best)), cmp.Compare(passing, s.passing), cmp.Compare(tightest, s.worst)) > 0 {
		s.best, s.passing, s.worst = slices.Clone(chosen), passing, tightest
	}
	if len(chosen) == s.boxes {
		return true
	}
	for ; i < len(s.c.Fits); i++ {
		f := &s.c.Fits[i]
		if slices.ContainsFunc(f.Picks, func(p Pick) bool { return s.used[p.Place+"/"+p.label()] }) {
			continue
		}
		mark := func(on bool) {
			for _, p := range f.Picks {
				s.used[p.Place+"/"+p.label()] = on
			}
		}
		pass := passing
		if f.Result.Word <= tolerance.Pass {
			pass++
		}
		mark(true)
		ok := s.from(i+1, append(chosen, i), pass, math.Min(tightest, f.Standing.Left.Or(math.Inf(-1))))
		mark(false)
		if !ok {
			return false
		}
	}
	return true
}
