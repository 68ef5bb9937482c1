package stackup

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"sync"
	"time"

	"example.com/borestack/fault"
)

// Parts are what a run is done in: N of them, of Each samples but for the last, and Samples in all.
type Parts struct{ N, Each, Samples int }

// Blocks are the blocks that the samples fill.
func (set *Settings) Blocks() Parts {
	return Parts{(set.Samples + BlockSize - 1) / BlockSize, BlockSize, set.Samples}
}

// Of is how many samples the first parts hold.
func (p Parts) Of(done int) int { return min(done*p.Each, p.Samples) }

// Blocks is the loop that every method of sampling runs in, those of this package and of its subpackages: it gives
// the parts of a run, numbers 0 to N−1, to workers, each once. worker makes a worker, whose memory is its own, and
// returns what works out a part; keep takes the results in ascending order, one at a time. What is kept does
// therefore not depend on the workers.
//
// done is how many of the first parts were kept: all; or, when ctx is done before, those that were whole, beside
// an error that wraps its cause. A part that has been begun is ended, but by a [SlowModel], which stops in
// its midst. When a part fails, or it or worker panics, the error of the lowest number is returned, with none done,
// and a panic raised as a [Panic]. Progress is reported as set says; set's samples and blocks are not used.
func Blocks[R any](ctx context.Context, set Settings, parts Parts, worker func() func(part int) (R, error), keep func(part int, r R)) (done int, err error) {
	q := &queue[R]{Parts: parts, report: set.Progress, started: time.Now(), keep: keep, waiting: map[int]R{}}
	workers := set.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	var wg sync.WaitGroup
	for range min(workers, parts.N) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			q.work(ctx, worker)
		}()
	}
	wg.Wait()
	if q.err != nil {
		return 0, raise(q.err, true)
	}
	if q.kept < parts.N {
		return q.kept, fmt.Errorf("stackup: stopped after %d of %d samples: %w", parts.Of(q.kept), parts.Samples, context.Cause(ctx))
	}
	return parts.N, nil
}

// queue hands out parts in order. When one has failed no more are handed out: all lower ones have been, so that the
// lowest error does not depend on luck.
type queue[R any] struct {
	Parts
	report  func(Progress)
	started time.Time
	keep    func(int, R)

	mu       sync.Mutex
	next     int       // to be handed out
	ended    int       // so many
	kept     int       // the first so many
	waiting  map[int]R // ended before a lower one
	err      error
	at       int // the part that failed
	reported time.Time
}

// work is what one worker does: parts, for as long as there are any and none has failed.
func (q *queue[R]) work(ctx context.Context, worker func() func(int) (R, error)) {
	i := -1
	defer func() {
		if p := caught(recover()); p != nil {
			q.fail(i, p)
		}
	}()
	if ctx.Err() != nil {
		return
	}
	do := worker()
	for ctx.Err() == nil {
		var ok bool
		if i, ok = q.take(); !ok {
			return
		}
		r, err := do(i)
		if errors.As(err, new(*stopped)) {
			return
		}
		if err != nil {
			q.fail(i, err)
			return
		}
		q.end(i, r)
	}
}

func (q *queue[R]) take() (int, bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.next >= q.N || q.err != nil {
		return 0, false
	}
	q.next++
	return q.next - 1, true
}

// fail keeps the error of the lowest part.
func (q *queue[R]) fail(i int, err error) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.err == nil || i < q.at {
		q.err, q.at = err, i
	}
}

// end takes the result of a part, and keeps those that no lower part is missing for.
func (q *queue[R]) end(i int, r R) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.waiting[i] = r
	for q.err == nil {
		r, ok := q.waiting[q.kept]
		if !ok {
			break
		}
		delete(q.waiting, q.kept)
		q.keep(q.kept, r)
		q.kept++
	}
	q.ended++
	if q.report == nil {
		return
	}
	if now := time.Now(); now.Sub(q.reported) >= reportEvery || q.ended == q.N {
		q.reported = now
		share := float64(q.ended) / float64(q.N)
		left := time.Duration(float64(now.Sub(q.started)) * (1 - share) / share)
		q.report(Progress{"samples", q.Of(q.ended), q.Samples, left})
	}
}

// reportEvery is the least time between two reports of progress.
const reportEvery = 100 * time.Millisecond

// Part is a progress function for a part of a longer run: labelled, after so many samples, of so many in all. It is
// nil when no progress is asked for.
func (set *Settings) Part(what string, before, all int) func(Progress) {
	report := set.Progress
	if report == nil {
		return nil
	}
	return func(p Progress) {
		if rest := p.Samples - p.Done; rest > 0 {
			p.Remaining = time.Duration(float64(p.Remaining) * float64(all-before-p.Done) / float64(rest))
		}
		p.What, p.Done = what, before+p.Done
		p.Samples = max(all, p.Done)
		report(p)
	}
}

// Whole returns an error for fewer than the least samples, and for settings that ask for some of the blocks only,
// which a method whose results do not merge cannot give.
func (set *Settings) Whole(least int) error {
	switch {
	case set.Samples < least:
		return fault.At("settings", fmt.Sprintf("%d samples", set.Samples), fmt.Sprintf("at least %d", least), fault.ErrOutOfRange)
	case set.From != 0 || set.To != 0:
		return fault.At("settings", fmt.Sprintf("blocks %d to %d", set.From, set.To), "all blocks (both 0): these results do not merge", fault.ErrOutOfRange)
	}
	return nil
}
