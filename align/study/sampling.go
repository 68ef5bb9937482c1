package study

import (
	"context"
	"time"

	"example.com/borestack/align"
	"example.com/borestack/stackup"
)

// meter tells how far several studies have come as if they were one: it only grows, and ends at all
// samples.
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
func (g *group) sample(ctx context.Context, st *stackup.Study, set stackup.Settings, m *meter) (*stackup.Accumulator, error) {
	if m.tell != nil {
		set.Progress = func(p stackup.Progress) { m.report(p.Done) }
	}
	t, err := st.Run(ctx, set)
	if err == nil {
		m.done += t.Samples()
	}
	return t, err
}

// model is a plan as the engine wants it.
type model struct {
	*align.Plan
	slow bool // every sample is a search over some joint's float
}

// NewEvaluator returns an evaluator for one goroutine.
func (m model) NewEvaluator() stackup.Evaluator { return m.Plan.NewEvaluator() }

// IsSlow tells the engine whether to look for an end of its context between samples.
func (m model) IsSlow() bool { return m.slow }
