package stackup

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"
	"time"
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

// Run draws and evaluates the blocks of a study. When ctx is done it returns the whole blocks done so far beside an error that wraps ctx.Err(). A sample that the model cannot evaluate ends the run with a [SampleError] that holds its index and inputs; a panic of the model or a law is raised as a [Panic].
func (s *Study) Run(ctx context.Context, set Settings) (*Tally, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	if set.Samples < 1 {
		return nil, &InputError{"settings", fmt.Sprintf("%d samples", set.Samples), "at least 1"}
	}
	blocks := set.blocks().n
	from, to := set.From, set.To
	if from == 0 && to == 0 {
		to = blocks
	}
	if from < 0 || to > blocks || from >= to {
		return nil, &InputError{"settings", fmt.Sprintf("blocks %d to %d", from, to), fmt.Sprintf("a range within the %d that %d samples fill", blocks, set.Samples)}
	}
	centres, err := s.nominal(ctx)
	if err != nil {
		return nil, err
	}
	tally := newTally(s, set.Seed, centres)
	var mu sync.Mutex
	var workers []*worker
	u := units{to - from, BlockSize, min(to*BlockSize, set.Samples) - from*BlockSize}
	done, err := sweep(ctx, &set, u, func() *worker {
		w := newWorker(s, tally)
		mu.Lock()
		defer mu.Unlock()
		workers = append(workers, w)
		return w
	}, func(w *worker, k int) error {
		n := min(BlockSize, set.Samples-(from+k)*BlockSize)
		leaf, err := w.run(set.Seed, from+k, n)
		if err != nil {
			return err
		}
		mu.Lock()
		defer mu.Unlock()
		tally.plant(leaf)
		tally.total += uint64(n)
		return nil
	})
	if err != nil && done == 0 {
		return nil, err
	}
	for _, w := range workers { // counts add up in any order
		for i := range w.shapes {
			tally.shapes[i].join(&w.shapes[i])
			tally.good[i] += w.good[i]
		}
	}
	return tally, err
}

// nominal evaluates the wanted numbers at zero deviation.
func (s *Study) nominal(ctx context.Context) ([]float64, error) {
	if ctx.Err() != nil {
		return nil, fmt.Errorf("stackup: stopped before the first sample: %w", context.Cause(ctx))
	}
	x := columns(s.Model.Inputs(), 1)
	y := columns(s.Model.Outputs(), 1)
	if err := newEvaluator(s.Model).Evaluate(y, x, 1); err != nil {
		return nil, raise(fmt.Errorf("stackup: at zero deviation: %w", err), false)
	}
	out := make([]float64, len(s.Wanted))
	for i := range s.Wanted {
		out[i] = y[s.Wanted[i].Output][0]
	}
	return out, nil
}

func columns(n, rows int) [][]float64 {
	all := make([]float64, n*rows)
	out := make([][]float64, n)
	for i := range out {
		out[i] = all[i*rows : (i+1)*rows : (i+1)*rows]
	}
	return out
}

// batch is how many samples are evaluated at once: enough to amortise a call, few enough to stay in the first cache.
const batch = 256

// worker draws and evaluates blocks in memory of its own.
type worker struct {
	study     *Study
	evaluator Evaluator
	draws     *drawer
	x, y      [][]float64
	shapes    []histogram
	good      []uint64
}

func newWorker(s *Study, t *Tally) *worker {
	w := &worker{
		study: s, evaluator: newEvaluator(s.Model), draws: newDrawer(s.Inputs, ""),
		x: columns(s.Model.Inputs(), batch), y: columns(s.Model.Outputs(), batch),
		shapes: make([]histogram, len(s.Wanted)), good: make([]uint64, len(s.Wanted)),
	}
	for i := range w.shapes {
		w.shapes[i].centre = t.shapes[i].centre
	}
	return w
}

// run draws and evaluates the n samples of a block.
func (w *worker) run(seed uint64, block, n int) (tree, error) {
	s := w.study
	w.draws.begin(seed, block)
	leaf := tree{Index: uint64(block), Of: make([]moments, len(s.Wanted))}
	for i := range leaf.Of {
		leaf.Of[i] = moments{Least: math.Inf(1), Most: math.Inf(-1)}
	}
	for at := 0; at < n; at += batch {
		m := min(batch, n-at)
		w.draws.draw(w.x) // always whole batches, so that a block's draws do not depend on how many samples were asked for
		if err := w.evaluator.Evaluate(w.y, w.x, m); err != nil {
			return leaf, blame(err, w.x, block*BlockSize+at)
		}
		for i := range s.Wanted {
			q := &s.Wanted[i]
			y := w.y[q.Output][:m]
			m := momentsOf(y)
			if m.N < float64(len(y)) { // infinite, or not a number
				if k := slices.IndexFunc(y, math.IsNaN); k >= 0 {
					return leaf, blame(&SampleError{Index: k, Err: fmt.Errorf("%s is not a number", q.Name)}, w.x, block*BlockSize+at)
				}
			}
			m.locate(y, uint64(block*BlockSize+at), &leaf.Of[i])
			leaf.Of[i] = leaf.Of[i].join(m)
			w.shapes[i].add(y)
			w.good[i] += w.count(q, y)
		}
	}
	return leaf, nil
}

// count is how many samples hold the limits.
func (w *worker) count(q *Wanted, y []float64) (n uint64) {
	if q.Unless == 0 && !q.limited() {
		return uint64(len(y))
	}
	least, greatest := q.bounds()
	for k, v := range y {
		if v >= least && v <= greatest && (q.Unless == 0 || w.y[q.Unless-1][k] >= 1) {
			n++
		}
	}
	return n
}

// Sample draws one sample again: the deviations that sample index had, for replay by the model.
func (s *Study) Sample(seed uint64, index int) ([]float64, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	if index < 0 {
		return nil, &InputError{"sample", fmt.Sprint(index), "0 or more"}
	}
	x, draws := columns(s.Model.Inputs(), batch), newDrawer(s.Inputs, "")
	draws.begin(seed, index/BlockSize)
	for range index%BlockSize/batch + 1 {
		draws.draw(x)
	}
	out := make([]float64, len(x))
	for c := range out {
		out[c] = x[c][index%batch]
	}
	return out, nil
}
