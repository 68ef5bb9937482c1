package stackup

import (
	"context"
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

// sweep runs do for the numbers 0 to n−1, each once, on workers that have memory of their own. What do stores by number does not depend on the workers. It returns the error of the lowest number that failed, or one that wraps ctx.Err(); samples is how many one number stands for, for the progress.
func sweep[W any](ctx context.Context, set *Settings, n, samples int, fresh func() W, do func(w W, i int) error) error {
	q := &queue{n: n, samples: samples, set: set, started: time.Now()}
	workers := set.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	var wg sync.WaitGroup
	for range min(workers, n) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			w := fresh()
			for ctx.Err() == nil {
				i, ok := q.take()
				if !ok {
					return
				}
				q.settle(i, do(w, i))
			}
		}()
	}
	wg.Wait()
	if q.err == nil && q.done < n {
		return fmt.Errorf("stackup: stopped after %d of %d samples: %w", q.done*samples, n*samples, context.Cause(ctx))
	}
	return q.err
}

// queue hands out numbers in order. When one has failed no more are handed out: all lower ones have been, so that the lowest error does not depend on luck.
type queue struct {
	n, samples int
	set        *Settings
	started    time.Time

	mu       sync.Mutex
	next     int
	done     int
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

func (q *queue) settle(i int, err error) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if err != nil {
		if q.err == nil || i < q.at {
			q.err, q.at = err, i
		}
		return
	}
	q.done++
	if q.set.Progress == nil {
		return
	}
	if now := time.Now(); now.Sub(q.reported) >= 100*time.Millisecond || q.done == q.n {
		q.reported = now
		share := float64(q.done) / float64(q.n)
		q.set.Progress(Progress{q.done * q.samples, q.n * q.samples, time.Duration(float64(now.Sub(q.started)) * (1 - share) / share)})
	}
}

// drawer draws the inputs of a study into columns.
type drawer struct {
	inputs  []Input
	streams []law.Stream
	suffix  string // of the names that key the draws
	names   []string
}

func newDrawer(inputs []Input, suffix string) *drawer {
	d := &drawer{inputs: inputs, streams: make([]law.Stream, len(inputs)), suffix: suffix}
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

// draw fills the columns, all of them, with the next samples.
func (d *drawer) draw(x [][]float64) {
	c := 0
	for i := range d.inputs {
		in := &d.inputs[i]
		if in.Plane != nil {
			in.Plane.Draw(x[c], x[c+1], &d.streams[i])
		} else {
			in.Law.Draw(x[c], &d.streams[i])
		}
		c += in.columns()
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
