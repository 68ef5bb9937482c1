package study

import (
	"context"
	"runtime"
	"slices"
	"time"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/stackup"
)

// meter tells how far several studies have come as if they were one: it only grows, and ends at all samples.
type meter struct {
	tell            func(stackup.Progress)
	samples, done   int // of all studies; of those that are through
	begun, reported time.Time
}

// meterFor is for n studies with these settings.
func meterFor(set stackup.Settings, n int) *meter {
	return &meter{tell: set.Progress, samples: n * samplesOf(set), begun: time.Now()}
}

// samplesOf is how many samples the blocks of a study's settings hold.
func samplesOf(set stackup.Settings) int {
	if set.From == 0 && set.To == 0 {
		return set.Samples
	}
	return max(0, min(set.Samples, set.To*stackup.BlockSize)-set.From*stackup.BlockSize)
}

// often is how far apart reports are at least.
const often = 100 * time.Millisecond

// report says that a study has now done more samples.
func (m *meter) report(more int) {
	done := m.done + more
	now := time.Now()
	if m.tell == nil || done == 0 || now.Sub(m.reported) < often && done < m.samples {
		return
	}
	m.reported = now
	left := float64(m.samples-done) / float64(done)
	m.tell(stackup.Progress{Done: done, Samples: m.samples, Remaining: time.Duration(left * float64(now.Sub(m.begun)))})
}

// sample runs the blocks of a study. When ctx ends it returns what whole blocks there are, and an error.
//
// Where every sample is a search over the float, a block takes seconds: there the evaluator gives up in its middle, and blocks go in rounds of one for each worker, so that those done before are kept.
func (g *group) sample(ctx context.Context, st *stackup.Study, set stackup.Settings, m *meter) (*stackup.Tally, error) {
	from, to := set.From, set.To
	if from == 0 && to == 0 {
		to = (set.Samples + stackup.BlockSize - 1) / stackup.BlockSize
	}
	round := to - from
	if g.dear() {
		if round = set.Workers; round <= 0 {
			round = runtime.GOMAXPROCS(0)
		}
	}
	before := 0
	if m.tell != nil {
		set.Progress = func(p stackup.Progress) { m.report(before + p.Done) }
	}
	var all *stackup.Tally
	for at := from; ; at += round {
		set.From, set.To = at, min(at+round, to)
		t, err := st.Run(ctx, set)
		switch {
		case all == nil:
			all = t
		case t != nil:
			if err := all.Merge(t); err != nil {
				return all, err
			}
		}
		if err != nil {
			return all, err
		}
		if before = all.Samples(); set.To >= to {
			m.done += before
			return all, nil
		}
	}
}

// dear reports whether every sample of the group is a search over some joint's float.
func (g *group) dear() bool { return slices.Contains(g.lies, align.LiesAny) }

// model is a plan as the engine wants it. It stops when ctx ends.
type model struct {
	*align.Plan
	ctx  context.Context
	dear bool
}

// NewEvaluator returns an evaluator for one goroutine.
func (m model) NewEvaluator() stackup.Evaluator {
	return &evaluator{Evaluator: m.Plan.NewEvaluator(), ctx: m.ctx, dear: m.dear, x: make([][]float64, m.Inputs()), y: make([][]float64, m.Outputs())}
}

type evaluator struct {
	*align.Evaluator
	ctx  context.Context
	dear bool
	x, y [][]float64 // the part of the columns that is evaluated now
}

// fewDear is how many samples are evaluated between two looks at the context where each takes milliseconds.
const fewDear = 4

// Evaluate evaluates the plan; a bad sample is the engine's error, an ended context that of the run.
func (e *evaluator) Evaluate(dst, x [][]float64, n int) error {
	step := n
	if e.dear {
		step = fewDear
	}
	for at := 0; at < n; at += step {
		if err := stopped(e.ctx); err != nil {
			return err
		}
		to := min(at+step, n)
		cut(e.x, x, at, to)
		cut(e.y, dst, at, to)
		err := e.Evaluator.Evaluate(e.y, e.x, to-at)
		if bad, ok := err.(*fault.SampleError); ok {
			bad.Index += at
			return bad
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// cut sets to to rows from at to end of columns.
func cut(to, columns [][]float64, at, end int) {
	for i := range to {
		to[i] = columns[i][at:end]
	}
}
