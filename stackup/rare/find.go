package rare

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
)

// Aim is where failures of a response are: its design points. It is made by [Find].
type Aim struct {
	Evaluations int // of samples, in the search
	Failed      int // of the first [stackup.BlockSize] of them, drawn as the laws say

	study    *stackup.Study
	of       int // the response
	points   []DesignPoint
	specks   int // ways that lines are not laid through, since they are too small to be met
	mix      *mixture
	restless bool // the last round of covering still found new points
	full     bool // there are more points than are kept
}

func (a *Aim) response() *stackup.Response { return &a.study.Responses[a.of] }

// Bounds of the first look.
const (
	lookScales   = 4  // samples to start from are spread this many times as wide as the laws say at most
	lookBatches  = 2  // of these samples at each spread
	glanceFewest = 20 // failures in a block: a way to fail that none of them shows is a small part of all
	glanceScales = 2  // the greatest spread then
)

// Find searches the design points of response i of a study, the likeliest ways to fail, for [Aim.Lines]: once, for as many
// samples as it takes. It starts from the medians and from samples that fail, of a block as the laws say and of some that
// are spread wider. Where many of the block fail it shows every way that matters, and that is all; else samples about the
// points that were found look for what lies between them. Of the settings, Samples is at least [stackup.BlockSize], and
// Seed must be other than that of samples that are to be compared.
//
// It returns an error that wraps [ErrNoDesignPoint] when nothing fails within twelve standard deviations that the
// search can reach: the chance is then small, or the model's failures are hidden from it; [stackup.Study.Run] says
// how small at least.
//
// Source: Hasofer and Lind, Exact and invariant second-moment code format, J. Eng. Mech. Div. ASCE 100 (1974).
func Find(ctx context.Context, s *stackup.Study, i int, set stackup.Settings) (*Aim, error) {
	if err := check(s, i, &set); err != nil {
		return nil, err
	}
	w := newPathfinder(ctx, s, &s.Responses[i])
	seen := newSights(sides(w.q))
	w.Begin("/look", set.Seed, 0)
	if err := w.sight(seen, 1, stackup.BlockSize/stackup.BatchSize); err != nil {
		return nil, err
	}
	a := &Aim{study: s, of: i, Failed: seen.failed}
	scales := lookScales
	if a.Failed >= glanceFewest {
		scales = glanceScales
	}
	for spread := 2; spread <= scales; spread++ {
		if err := w.sight(seen, float64(spread), lookBatches); err != nil {
			return nil, err
		}
	}
	if err := w.climbFrom(seen); err != nil {
		return nil, err
	}
	if len(w.points) == 0 {
		return nil, fmt.Errorf("stackup: %s: %w within %g standard deviations", w.q.Name, ErrNoDesignPoint, farthest)
	}
	for round := 0; a.Failed < glanceFewest && round < coverRounds; round++ {
		found, err := w.cover(set.Seed, round)
		if err != nil {
			return nil, err
		}
		if a.restless = found > 0; !a.restless {
			break
		}
	}
	slices.SortStableFunc(w.points, func(p, q DesignPoint) int { return cmp.Compare(p.Beta, q.Beta) })
	a.points, a.full, a.Evaluations = w.points, w.full, w.evaluations
	large := slices.DeleteFunc(slices.Clone(w.points), func(p DesignPoint) bool { return p.speck })
	if len(large) > 0 {
		a.points, a.specks = large, len(w.points)-len(large)
	}
	a.mix = newMixture(a.points)
	return a, nil
}

// check checks what a search is asked for, and says that it begins.
func check(s *stackup.Study, i int, set *stackup.Settings) error {
	if err := s.Validate(); err != nil {
		return err
	}
	q, err := s.Response(i)
	if err != nil {
		return err
	}
	if len(sides(q)) == 0 {
		return fault.At(q.Name, "no limits", "limits that can fail", fault.ErrMissing)
	}
	if err := set.Whole(stackup.BlockSize); err != nil {
		return err
	}
	if report := set.Part("looking for design points", 0, set.Samples); report != nil {
		report(stackup.Progress{})
	}
	return nil
}

// sights are samples that searches may start from, for each limit: some that fail, and the one nearest to failing.
type sights struct {
	sides   []Side
	starts  [][][]float64
	nearest [][]float64
	least   []float64
	failed  int // by any limit
}

func newSights(sides []Side) *sights {
	s := &sights{sides: sides, starts: make([][][]float64, len(sides)), nearest: make([][]float64, len(sides))}
	for range sides {
		s.least = append(s.least, math.Inf(1))
	}
	return s
}

// sight adds batches of samples that are spread wider.
func (w *pathfinder) sight(s *sights, spread float64, batches int) error {
	for range batches {
		w.normals(spread)
		if err := w.evaluate(stackup.BatchSize); err != nil {
			return err
		}
		for i := range stackup.BatchSize {
			if !w.q.Good(w.Y, i) {
				s.failed++
			}
			for k, side := range s.sides {
				slack := within(w.q, side, w.Y, i)
				if slack < 0 && len(s.starts[k]) < startsMost {
					s.starts[k] = append(s.starts[k], w.row(i))
				}
				if slack < s.least[k] {
					s.least[k], s.nearest[k] = slack, w.row(i)
				}
			}
		}
	}
	return nil
}

// climbFrom searches from what was seen, and from beside the medians.
func (w *pathfinder) climbFrom(s *sights) error {
	for k, side := range s.sides {
		w.normals(nudge) // beside the medians, where slopes may vanish by symmetry
		if len(w.Z) == 0 {
			break
		}
		all := append([][]float64{w.row(0)}, s.starts[k]...)
		if s.nearest[k] != nil {
			all = append(all, s.nearest[k])
		}
		if err := w.climbAll(side, all); err != nil {
			return err
		}
	}
	w.prune()
	return nil
}
