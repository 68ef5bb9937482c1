package study

import (
	"context"

	"example.com/borestack/align"
	"example.com/borestack/stackup"
)

// samplesOf is how many samples the blocks of a study's settings hold.
func samplesOf(set stackup.Settings) int {
	if set.From == 0 && set.To == 0 {
		return set.Samples
	}
	return max(0, min(set.Samples, set.To*stackup.BlockSize)-set.From*stackup.BlockSize)
}

// label says which study of a record's is under way.
func (k groupKey) label() string {
	out := "samples: " + k.Because
	if k.State != "" {
		out += ", " + k.State
	}
	if k.AtRest {
		out += ", at rest"
	}
	return out
}

// sample runs the blocks of a study. Its progress is told as a part of that of all studies of the record, which
// only grows and ends once. When ctx ends it returns what whole blocks there are, and an error.
func (g *group) sample(ctx context.Context, st *stackup.Study, set stackup.Settings) (*stackup.Accumulator, error) {
	each := samplesOf(set)
	set.Progress = set.Part(g.key.label(), g.at*each, g.of*each)
	return st.Run(ctx, set)
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
