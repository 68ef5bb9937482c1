package advise

import (
	"fmt"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/study"
)

// mostSteps bounds the search for kits.
const mostSteps = 2_000_000

// Kits picks fits that share no part, as many boxes as the scarcest place allows: the most that pass, then the most room in the tightest of them. It returns indices into Fits, best first. Every pick counts as a part of its own, the one measured in place too.
//
// It tries every way, and returns an error that wraps [align.ErrTooMany] when there are too many.
func (c *Comparison) Kits() ([]int, error) {
	if len(c.Fits) == 0 {
		return nil, nil
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
		boxes = 1
	}
	s := kitSearch{c: c, boxes: boxes, used: map[string]bool{}, worst: math.Inf(-1), passing: -1}
	if !s.from(0, nil, 0, math.Inf(1)) {
		return nil, fmt.Errorf("advise: kits of %d fits: %w", len(c.Fits), align.ErrTooMany)
	}
	return s.best, nil
}

// kitSearch is a depth-first search over fits in their order.
type kitSearch struct {
	c       *Comparison
	boxes   int
	used    map[string]bool
	steps   int
	best    []int
	passing int
	worst   float64 // room of the tightest box of the best
}

// from extends chosen by fits i and on; false: too many steps.
func (s *kitSearch) from(i int, chosen []int, passing int, tightest float64) bool {
	if s.steps++; s.steps > mostSteps {
		return false
	}
	if len(chosen) > len(s.best) || (len(chosen) == len(s.best) && (passing > s.passing || (passing == s.passing && tightest > s.worst))) {
		s.best, s.passing, s.worst = append([]int(nil), chosen...), passing, tightest
	}
	if len(chosen) == s.boxes {
		return true
	}
	for ; i < len(s.c.Fits); i++ {
		f := &s.c.Fits[i]
		free := true
		for _, p := range f.Picks {
			free = free && !s.used[p.Place+"/"+p.label()]
		}
		if !free {
			continue
		}
		mark := func(on bool) {
			for _, p := range f.Picks {
				s.used[p.Place+"/"+p.label()] = on
			}
		}
		pass := passing
		if f.Result.Word <= study.Pass {
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
