package stackup

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"sync"
	"time"

	"example.com/borestack/stackup/law"
)

// Figure is an estimate with its doubt.
type Figure struct {
	Value    float64
	Error    float64    // standard error
	Interval [2]float64 // 95 % two-sided
}

// level of every interval.
const level = 0.95

// figure has an interval by Student's t with that many degrees of freedom; +Inf: normal.
func figure(value, standardError, dof float64) Figure {
	k := coverage(dof) * standardError
	return Figure{value, standardError, [2]float64{value - k, value + k}}
}

// coverage is the factor from a standard error to half an interval.
func coverage(dof float64) float64 {
	if dof < 1e6 {
		if t, err := law.NewStudent(0, 1, math.Max(dof, 1)); err == nil {
			return t.UpperQuantile((1 - level) / 2)
		}
	}
	return -law.StandardQuantile((1 - level) / 2)
}

// whole returns an error for settings that ask for some of the blocks only, which a method that compares samples cannot merge.
func (set *Settings) whole(least int) error {
	switch {
	case set.Samples < least:
		return &InputError{"settings", fmt.Sprintf("%d samples", set.Samples), fmt.Sprintf("at least %d", least)}
	case set.From != 0 || set.To != 0:
		return &InputError{"settings", fmt.Sprintf("blocks %d to %d", set.From, set.To), "all blocks (both 0): these results do not merge"}
	}
	return nil
}

// units are the parts that a run is done in.
type units struct{ n, each, samples int } // so many, of so many samples each but for the last, and samples in all

// blocks are the blocks that the samples fill.
func (set *Settings) blocks() units {
	return units{(set.Samples + BlockSize - 1) / BlockSize, BlockSize, set.Samples}
}

// of is how many samples the first units hold.
func (u units) of(done int) int { return min(done*u.each, u.samples) }

// sweep runs do for the numbers 0 to n−1, each once, on workers that have memory of their own. What do stores by
// number does not depend on the workers. done is how many of the first numbers are whole: all; or, when ctx was
// done before, those that had been begun, beside an error that wraps ctx.Err(). When do fails, or do or fresh
// panics, the error of the lowest number is returned, with none done, and the panic raised.
func sweep[W any](ctx context.Context, set *Settings, u units, fresh func() W, do func(w W, i int) error) (done int, err error) {
	q := &queue{units: u, set: set, started: time.Now(), halted: u.n}
	workers := set.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	var wg sync.WaitGroup
	for range min(workers, u.n) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			labour(ctx, q, fresh, do)
		}()
	}
	wg.Wait()
	if q.err != nil {
		return 0, raise(q.err, true)
	}
	if q.done < u.n {
		done = min(q.done, q.halted)
		return done, fmt.Errorf("stackup: stopped after %d of %d samples: %w", u.of(done), u.samples, context.Cause(ctx))
	}
	return u.n, nil
}

// labour is what one worker does: numbers, for as long as there are any and none has failed.
func labour[W any](ctx context.Context, q *queue, fresh func() W, do func(w W, i int) error) {
	i := -1
	defer func() {
		if p := caught(recover()); p != nil {
			q.fail(i, p)
		}
	}()
	if ctx.Err() != nil {
		return
	}
	w := fresh()
	for ctx.Err() == nil {
		var ok bool
		if i, ok = q.take(); !ok {
			return
		}
		switch err := do(w, i); err {
		case nil:
			q.settle()
		case errHalted:
			q.halt(i)
			return
		default:
			q.fail(i, err)
			return
		}
	}
}

// errHalted is what a part returns that heeds the context in its midst.
var errHalted = errors.New("halted")

// queue hands out numbers in order. When one has failed no more are handed out: all lower ones have been, so that the lowest error does not depend on luck.
type queue struct {
	units
	set     *Settings
	started time.Time

	mu       sync.Mutex
	next     int
	done     int
	halted   int // the lowest number that was begun and not ended
	err      error
	at       int
	reported time.Time
}

func (q *queue) take() (int, bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.next >= q.n || q.err != nil {
		return 0, false
	}
	q.next++
	return q.next - 1, true
}

// fail keeps the error of the lowest number.
func (q *queue) fail(i int, err error) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.err == nil || i < q.at {
		q.err, q.at = err, i
	}
}

// halt notes a number that was not ended.
func (q *queue) halt(i int) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.halted = min(q.halted, i)
}

// settle counts a number that is done.
func (q *queue) settle() {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.done++
	if q.set.Progress == nil {
		return
	}
	if now := time.Now(); now.Sub(q.reported) >= reportEvery || q.done == q.n {
		q.reported = now
		share := float64(q.done) / float64(q.n)
		left := time.Duration(float64(now.Sub(q.started)) * (1 - share) / share)
		q.set.Progress(Progress{"samples", q.of(q.done), q.samples, left})
	}
}

// reportEvery is the least time between two reports of progress.
const reportEvery = 100 * time.Millisecond

// part is a progress function for a part of a longer run: labelled, after so many samples, of so many in all.
func (set *Settings) part(what string, before, all int) func(Progress) {
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

// drawer draws the inputs of a study into columns.
type drawer struct {
	inputs  []Input
	streams []law.Stream
	suffix  string // of the names that key the draws
	names   []string
	work    []float64
}

func newDrawer(inputs []Input, suffix string) *drawer {
	d := &drawer{inputs: inputs, streams: make([]law.Stream, len(inputs)), suffix: suffix, work: make([]float64, batch)}
	for i := range inputs {
		d.names = append(d.names, inputs[i].Name+suffix)
	}
	return d
}

// begin opens the streams of a block.
func (d *drawer) begin(seed uint64, block int) {
	for i := range d.streams {
		d.streams[i] = law.NewStream(seed, d.names[i], uint64(block))
	}
}

// draw fills the columns, all of them and a batch long at most, with the next samples.
func (d *drawer) draw(x [][]float64) {
	c := 0
	var in *Input
	defer nameInput(&in)
	for i := range d.inputs {
		in = &d.inputs[i]
		n := in.columns()
		in.draw(x[c:c+n], d.work, d.streams[i:i+1])
		c += n
	}
}

// numberOf prints a number for an error.
func numberOf(v float64) string { return fmt.Sprintf("%g", v) }

// numbers returns an error for the first of n samples whose wanted number is not a number: it is neither good nor bad.
func (q *Wanted) numbers(y [][]float64, n int) error {
	for i, v := range y[q.Output][:n] {
		if v != v || q.Unless > 0 && y[q.Unless-1][i] != y[q.Unless-1][i] {
			return &SampleError{Index: i, Err: fmt.Errorf("%s is not a number", q.Name)}
		}
	}
	return nil
}
