package stackup

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"time"

	"example.com/borestack/stackup/law"
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
type Progress struct {
	Done, Samples int
	Remaining     time.Duration // an estimate
}

// Run draws and evaluates the blocks of a study. When ctx is done it returns the whole blocks done so far beside an error that wraps ctx.Err(). A sample that the model cannot evaluate ends the run with a [SampleError] that holds its index and inputs.
func (s *Study) Run(ctx context.Context, set Settings) (*Tally, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	if set.Samples < 1 {
		return nil, &InputError{"settings", fmt.Sprintf("%d samples", set.Samples), "at least 1"}
	}
	blocks := (set.Samples + BlockSize - 1) / BlockSize
	from, to := set.From, set.To
	if from == 0 && to == 0 {
		to = blocks
	}
	if from < 0 || to > blocks || from >= to {
		return nil, &InputError{"settings", fmt.Sprintf("blocks %d to %d", from, to), fmt.Sprintf("a range within the %d that %d samples fill", blocks, set.Samples)}
	}
	centres, err := s.nominal()
	if err != nil {
		return nil, err
	}
	r := &running{study: s, set: set, from: from, next: from, to: to, tally: newTally(s, set.Seed, centres), started: time.Now()}
	workers := set.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	var wg sync.WaitGroup
	for range min(workers, to-from) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			r.work(ctx, stop)
		}()
	}
	wg.Wait()
	if r.err != nil {
		return nil, r.err
	}
	if err := ctx.Err(); err != nil && r.done < to-from {
		return r.tally, fmt.Errorf("stackup: stopped after %d of %d samples: %w", r.tally.Samples(), set.Samples, context.Cause(ctx))
	}
	return r.tally, nil
}

// nominal evaluates the wanted numbers at zero deviation.
func (s *Study) nominal() ([]float64, error) {
	x := columns(s.Model.Inputs(), 1)
	y := columns(s.Model.Outputs(), 1)
	if err := s.Model.NewEvaluator().Evaluate(y, x, 1); err != nil {
		return nil, fmt.Errorf("stackup: at zero deviation: %w", err)
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

// running is the state that the workers of one run share.
type running struct {
	study *Study
	set   Settings

	from, to int

	mu       sync.Mutex
	next     int
	done     int
	tally    *Tally
	err      error
	errBlock int
	started  time.Time
	reported time.Time
}

// take hands out the next block.
func (r *running) take() (int, bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.next >= r.to {
		return 0, false
	}
	r.next++
	return r.next - 1, true
}

// fail keeps the error of the earliest block, so that it does not depend on the workers' luck among the blocks that were begun.
func (r *running) fail(block int, err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.err == nil || block < r.errBlock {
		r.err, r.errBlock = err, block
	}
}

// work runs blocks until there are none left.
func (r *running) work(ctx context.Context, stop context.CancelFunc) {
	w := newWorker(r.study, r.tally)
	defer r.gather(w)
	for ctx.Err() == nil {
		block, ok := r.take()
		if !ok {
			return
		}
		n := min(BlockSize, r.set.Samples-block*BlockSize)
		leaf, err := w.run(r.set.Seed, block, n)
		if err != nil {
			r.fail(block, err)
			stop()
			return
		}
		r.plant(leaf, n)
	}
}

// plant adds a finished block.
func (r *running) plant(leaf tree, n int) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.tally.plant(leaf)
	r.tally.total += uint64(n)
	r.done++
	if r.set.Progress == nil {
		return
	}
	if now := time.Now(); now.Sub(r.reported) >= 100*time.Millisecond || r.done == r.to-r.from {
		r.reported = now
		share := float64(r.done) / float64(r.to-r.from)
		r.set.Progress(Progress{r.tally.Samples(), r.set.Samples, time.Duration(float64(now.Sub(r.started)) * (1 - share) / share)})
	}
}

// gather adds a worker's counts, which add up in any order.
func (r *running) gather(w *worker) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for i := range w.shapes {
		r.tally.shapes[i].join(&w.shapes[i])
		r.tally.good[i] += w.good[i]
	}
}

// batch is how many samples are evaluated at once: enough to amortise a call, few enough to stay in the first cache.
const batch = 256

// worker draws and evaluates blocks in memory of its own.
type worker struct {
	study     *Study
	evaluator Evaluator
	streams   []law.Stream
	x, y      [][]float64
	shapes    []histogram
	good      []uint64
}

func newWorker(s *Study, t *Tally) *worker {
	w := &worker{
		study: s, evaluator: s.Model.NewEvaluator(), streams: make([]law.Stream, len(s.Inputs)),
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
	w.begin(seed, block)
	leaf := tree{Index: uint64(block), Of: make([]moments, len(s.Wanted))}
	for i := range leaf.Of {
		leaf.Of[i] = moments{Least: math.Inf(1), Most: math.Inf(-1)}
	}
	for at := 0; at < n; at += batch {
		m := min(batch, n-at)
		w.draw(batch) // always whole batches, so that a block's draws do not depend on how many samples were asked for
		if err := w.evaluator.Evaluate(w.y, w.x, m); err != nil {
			return leaf, w.blame(err, block*BlockSize+at)
		}
		for i := range s.Wanted {
			q := &s.Wanted[i]
			y := w.y[q.Output][:m]
			m := momentsOf(y)
			if m.N < float64(len(y)) { // infinite, or not a number
				if k := slices.IndexFunc(y, math.IsNaN); k >= 0 {
					return leaf, w.blame(&SampleError{Index: k, Err: fmt.Errorf("%s is not a number", q.Name)}, block*BlockSize+at)
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

// begin opens the streams of a block.
func (w *worker) begin(seed uint64, block int) {
	for i := range w.streams {
		w.streams[i] = law.NewStream(seed, w.study.Inputs[i].Name, uint64(block))
	}
}

// draw fills the columns with the next n samples.
func (w *worker) draw(n int) {
	c := 0
	for i := range w.study.Inputs {
		in := &w.study.Inputs[i]
		if in.Plane != nil {
			in.Plane.Draw(w.x[c][:n], w.x[c+1][:n], &w.streams[i])
			c += 2
			continue
		}
		in.Law.Draw(w.x[c][:n], &w.streams[i])
		c++
	}
}

// blame completes the error of a sample whose index counts from first.
func (w *worker) blame(err error, first int) error {
	var e *SampleError
	if !errors.As(err, &e) {
		return fmt.Errorf("stackup: samples from %d: %w", first, err)
	}
	out := &SampleError{Index: first + e.Index, Err: e.Err}
	for c := range w.x {
		out.Inputs = append(out.Inputs, w.x[c][e.Index])
	}
	return out
}

// Sample draws one sample again: the deviations that sample index had, for replay by the model.
func (s *Study) Sample(seed uint64, index int) ([]float64, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	if index < 0 {
		return nil, &InputError{"sample", fmt.Sprint(index), "0 or more"}
	}
	w := &worker{study: s, streams: make([]law.Stream, len(s.Inputs)), x: columns(s.Model.Inputs(), batch)}
	w.begin(seed, index/BlockSize)
	for range index%BlockSize/batch + 1 {
		w.draw(batch)
	}
	out := make([]float64, len(w.x))
	for c := range w.x {
		out[c] = w.x[c][index%batch]
	}
	return out, nil
}
