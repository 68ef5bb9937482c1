package pair

import (
	"context"
	"fmt"
	"maps"
	"math"
	"reflect"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	"example.com/borestack/fault"
)

// Box is what is asked about: a box whose stack carries the bins as candidates, and the clockings that
// are allowed. The zero value has no bins, which is refused.
type Box struct {
	advise.Box

	Places  []string // the places of one to three bins; none: all that have candidates
	Turns   []Turn   // parts that may be turned by steps of their hole pattern
	Workers int      // how many combinations are worked out at once; 0: one a processor
}

// Turn allows a part to be turned by steps of its hole pattern.
type Turn struct {
	Part    string
	Holes   int  // equal steps in a turn
	Redrill bool // its dowel holes may be drilled anew
}

// mostCombinations bounds what is tried: minutes on one slow core, and not by mistake.
const mostCombinations = 2_000_000

// mostTurns bounds the clockings of one combination.
const mostTurns = 10_000

// Table is every combination's worth. It is not changed once it is made, and may be shared.
type Table struct {
	box    Box
	of     align.Output // what is compared
	bins   [][]string   // names of the parts, bin by bin; the first is the one in place
	turns  [][]advise.Correction
	states []held
	free   bool    // a box that fails as measured may pass: the gauge is known to be off, or lopsided
	tried  []worth // the last bin's index runs fastest
	judged *judged
}

// worth is a combination at the best of its clockings.
type worth struct {
	left  float64 // what is left at the worst float as measured; NaN where the box cannot be worked out
	way   int     // which clocking
	fails string  // why it cannot pass; empty where it can
	rough bool    // it fails for certain; left is no more than a bound, and fails not the first reason
}

// better says whether this is to be preferred.
func (w worth) better(than worth) bool {
	if (w.fails == "") != (than.fails == "") {
		return w.fails == ""
	}
	return w.left > than.left || math.IsNaN(than.left) && !math.IsNaN(w.left)
}

// Bins are the names of the parts in each place, the one measured in place first.
func (t *Table) Bins() [][]string { return t.bins }

// Combinations is how many there are, clockings not counted.
func (t *Table) Combinations() int { return len(t.tried) }

// Try works out every combination. The error is a fault of the box or of its bins, or wraps the cause
// when ctx ends before the last combination.
func Try(ctx context.Context, b Box) (*Table, error) { return try(ctx, b, nil) }

// Extend works out the combinations of parts that have been added behind the candidates of a box that
// is otherwise the same; those that this table knows are taken over, and so is what was judged. A box that
// differs in anything but its title is an error that wraps [fault.ErrConflict].
func (t *Table) Extend(ctx context.Context, b advise.Box) (*Table, error) {
	next := t.box
	next.Box = b
	return try(ctx, next, t)
}

func try(ctx context.Context, b Box, known *Table) (*Table, error) {
	t := &Table{box: b, free: b.Origin.Lopsided(), judged: &judged{made: map[judging]judgement{}}}
	if err := t.layOut(); err != nil {
		return nil, err
	}
	if known != nil {
		for k, bin := range known.bins {
			if k >= len(t.bins) || len(bin) > len(t.bins[k]) || !slices.Equal(bin, t.bins[k][:len(bin)]) {
				return nil, fault.At("candidates", "another order of parts", "the parts that were there, and new ones behind them", fault.ErrOutOfRange)
			}
		}
		if !sameBox(b, known.box) {
			return nil, fault.At("candidates", "another box", "the limits and parts that were there, to the number, and new parts behind them", fault.ErrConflict)
		}
		known.judged.mu.Lock()
		t.judged.made = maps.Clone(known.judged.made)
		known.judged.mu.Unlock()
	}
	trials := make([]*trial, t.workers(len(t.tried)))
	for k := range trials {
		var err error
		if trials[k], err = t.newTrial(); err != nil {
			return nil, err
		}
	}
	if err := t.each(ctx, len(t.tried), func(worker, i int) { t.work(trials[worker], i, known) }); err != nil {
		return nil, err
	}
	return t, nil
}

// sameBox reports whether a box is another with new parts behind those of its bins.
func sameBox(b, known Box) bool {
	s := b.Stack
	s.Title = known.Stack.Title
	s.Candidates = slices.Clone(s.Candidates)
	for i := range s.Candidates {
		c := &s.Candidates[i]
		k := slices.IndexFunc(known.Stack.Candidates, func(q align.Candidates) bool { return q.Place == c.Place })
		if k < 0 {
			return false
		}
		c.Parts = c.Parts[:min(len(c.Parts), len(known.Stack.Candidates[k].Parts))]
	}
	return reflect.DeepEqual(s, known.Stack) && reflect.DeepEqual(b.Limits, known.Limits)
}

// workers is how many work on n things.
func (t *Table) workers(n int) int {
	workers := t.box.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	return min(workers, n)
}

// each does n independent things on the workers. The error wraps the cause when ctx ends before the last.
func (t *Table) each(ctx context.Context, n int, do func(worker, i int)) error {
	var next atomic.Int64
	var wait sync.WaitGroup
	for w := range t.workers(n) {
		wait.Add(1)
		go func() {
			defer wait.Done()
			for i := int(next.Add(1)) - 1; i < n && ctx.Err() == nil; i = int(next.Add(1)) - 1 {
				do(w, i)
			}
		}()
	}
	wait.Wait()
	if ctx.Err() != nil {
		return fmt.Errorf("pair: stopped: %w", context.Cause(ctx))
	}
	return nil
}

// picks are the members of the bins that combination i takes.
func (t *Table) picks(i int) []int {
	out := make([]int, len(t.bins))
	for b := len(out) - 1; b >= 0; b-- {
		out[b], i = i%len(t.bins[b]), i/len(t.bins[b])
	}
	return out
}

// index is the combination that takes these members.
func (t *Table) index(picks []int) int {
	i := 0
	for b, p := range picks {
		i = i*len(t.bins[b]) + p
	}
	return i
}

// work sets the worth of a combination, at the best of its clockings.
func (t *Table) work(on *trial, i int, known *Table) {
	picks := t.picks(i)
	if known != nil {
		old := true
		for b, p := range picks {
			old = old && p < len(known.bins[b])
		}
		if old {
			t.tried[i] = known.tried[known.index(picks)]
			return
		}
	}
	if on.swaps != nil && len(t.turns) == 1 {
		t.tried[i] = on.worth(picks)
		return
	}
	t.tried[i] = t.exact(picks)
}

// exact is the worth of a combination with nothing left out, at the best of its clockings.
func (t *Table) exact(picks []int) (best worth) {
	s, err := t.put(picks)
	if err != nil {
		return worth{left: math.NaN(), fails: err.Error()}
	}
	for k, way := range t.turns {
		w := t.worth(s, way)
		w.way = k
		if k == 0 || w.better(best) {
			best = w
		}
	}
	return best
}

// put is the stack of a combination, its candidates dropped.
func (t *Table) put(picks []int) (align.Stack, error) {
	s := t.box.Stack
	all := s.Candidates
	var err error
	for b, p := range picks {
		if p == 0 {
			continue
		}
		place := t.box.Places[b]
		for k := range all {
			if all[k].Place == place {
				s.Candidates = []align.Candidates{{Place: place, Parts: all[k].Parts[p-1 : p]}}
			}
		}
		if s, err = s.WithCandidate(place, 0); err != nil {
			return s, err
		}
	}
	s.Candidates = nil
	return s, nil
}
