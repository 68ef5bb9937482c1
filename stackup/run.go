package stackup

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"
	"time"

	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/stackup/internal/num"
)

// Settings say how a study is sampled.
type Settings struct {
	Samples  int    // at least 1
	Seed     uint64 // the same seed gives the same answer, on any number of workers
	Workers  int    // 0: as many as the program may use
	From, To int    // blocks to run, [From, To); both 0: all that the samples fill
	Progress func(Progress)
}

// Progress is how far a run has come. It is reported at most ten times a second, from one goroutine at a time.
// Done never falls.
type Progress struct {
	What          string        // what is being done
	Done, Samples int           // of all that is to be done, as far as that is known yet
	Remaining     time.Duration // an estimate
}

// Run draws and evaluates the blocks of a study. When ctx is done it returns the whole blocks done so far beside an error that wraps ctx.Err(). A sample that the model cannot evaluate ends the run with a [fault.SampleError] that holds its index and inputs; a panic of the model or a law is raised as a [Panic].
func (s *Study) Run(ctx context.Context, set Settings) (*Accumulator, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	from, to, err := set.blockRange()
	if err != nil {
		return nil, err
	}
	centres, err := s.Nominal(ctx)
	if err != nil {
		return nil, err
	}
	acc := newAccumulator(s, set.Seed, centres)
	var mu sync.Mutex
	var shapes [][]histogram // of the workers: counts add up in any order
	parts := Parts{to - from, BlockSize, min(to*BlockSize, set.Samples) - from*BlockSize}
	done, err := Blocks(ctx, set, parts, func() func(int) (leaf, error) {
		w, own := NewSampler(ctx, s), acc.emptyShapes()
		mu.Lock()
		defer mu.Unlock()
		shapes = append(shapes, own)
		return func(k int) (leaf, error) { return s.leaf(w, own, &set, from+k) }
	}, func(_ int, l leaf) { acc.add(&l) })
	if err != nil && done == 0 {
		return nil, err
	}
	for _, own := range shapes {
		acc.join(own)
	}
	return acc, err
}

// blockRange are the blocks to run.
func (set *Settings) blockRange() (from, to int, err error) {
	if set.Samples < 1 {
		return 0, 0, fault.At("settings", fmt.Sprintf("%d samples", set.Samples), "at least 1", fault.ErrOutOfRange)
	}
	blocks := set.Blocks().N
	from, to = set.From, set.To
	if from == 0 && to == 0 {
		to = blocks
	}
	if from < 0 || to > blocks || from >= to {
		return 0, 0, fault.At("settings", fmt.Sprintf("blocks %d to %d", from, to), fmt.Sprintf("a range within the %d that %d samples fill", blocks, set.Samples), fault.ErrOutOfRange)
	}
	return from, to, nil
}

// Nominal evaluates the responses at zero deviation; 0 where one is not finite.
func (s *Study) Nominal(ctx context.Context) ([]float64, error) {
	if ctx.Err() != nil {
		return nil, fmt.Errorf("stackup: stopped before the first sample: %w", context.Cause(ctx))
	}
	x := num.Columns(s.Model.Inputs(), 1)
	y := num.Columns(s.Model.Outputs(), 1)
	if err := newEvaluator(ctx, s.Model).Evaluate(y, x, 1); err != nil {
		return nil, raise(fmt.Errorf("stackup: at zero deviation: %w", err), false)
	}
	out := make([]float64, len(s.Responses))
	for i := range s.Responses {
		if v := y[s.Responses[i].Output][0]; ieee.Finite(v) {
			out[i] = v
		}
	}
	return out, nil
}

// leaf is what one block came to.
type leaf struct {
	tree
	n    int
	good []uint64 // per response
	y    [][]float64
}

// leaf draws and evaluates a block. A worker counts the shapes of its blocks by itself, but for a slow model, which
// may be stopped in the midst of one, or of one that an earlier one is missing for: its values go with the leaf.
func (s *Study) leaf(w *Sampler, shapes []histogram, set *Settings, block int) (leaf, error) {
	out := leaf{tree: tree{Index: uint64(block), Of: make([]moments, len(s.Responses))}, good: make([]uint64, len(s.Responses))}
	for i := range out.Of {
		out.Of[i] = moments{Least: math.Inf(1), Most: math.Inf(-1)}
	}
	slow := isSlow(s.Model)
	if slow {
		out.y = make([][]float64, len(s.Responses))
	}
	err := w.block("", set.Seed, block, set.Samples, func(at, n int) error {
		out.n += n
		for i := range s.Responses {
			q := &s.Responses[i]
			y := w.Y[q.Output][:n]
			m := momentsOf(y)
			if m.N < float64(n) { // infinite, or not a number
				if k := slices.IndexFunc(y, math.IsNaN); k >= 0 {
					return q.notNumber(k)
				}
			}
			m.locate(y, uint64(at), &out.Of[i])
			out.Of[i] = out.Of[i].join(m)
			out.good[i] += q.count(w.Y, n)
			if slow {
				out.y[i] = append(out.y[i], y...)
			} else {
				shapes[i].add(y)
			}
		}
		return nil
	})
	return out, err
}

// count is how many of n samples hold the limits.
func (w *Response) count(y [][]float64, n int) (good uint64) {
	if w.Unless == 0 && !w.Limited() {
		return uint64(n)
	}
	least, greatest := w.bounds()
	for k, v := range y[w.Output][:n] {
		if v >= least && v <= greatest && (w.Unless == 0 || y[w.Unless-1][k] >= 1) {
			good++
		}
	}
	return good
}

// Sample draws one sample again: the deviations that sample index had, for replay by the model.
func (s *Study) Sample(seed uint64, index int) ([]float64, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	if index < 0 {
		return nil, fault.At("sample", fmt.Sprint(index), "0 or more", fault.ErrOutOfRange)
	}
	w := NewSampler(context.Background(), s)
	w.Begin("", seed, index/BlockSize)
	for range index%BlockSize/BatchSize + 1 {
		w.draw()
	}
	out := make([]float64, len(w.X))
	for c := range out {
		out[c] = w.X[c][index%BatchSize]
	}
	return out, nil
}
