package study

import (
	"cmp"
	"context"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/stackup"
)

// Cause is a tail of one input's distribution, its outer tenth, that the samples which fail lie in
// more often than others. By Bayes' theorem it is as well how much more often than usual a sample
// in that tail fails.
type Cause struct {
	Input    string
	Axis     int  // 0; of a pair, 0 for x and 1 for y
	Pair     bool // the input is a pair
	Upper    bool // the tail of great deviations, not of small ones
	Times    float64
	Interval [2]float64 // of Times, 95 %
}

const (
	fewestFailures = 50                     // fewer say little of what they have in common
	mostLooked     = 20 * stackup.BlockSize // samples looked at again
	tells          = 1.5                    // times as often as usual, at least, for a tail to be named
)

// causes looks again at as many of the samples as it takes, where enough of them fail, and says
// what those have in common, by output. It leaves out studies in which some joint lies anywhere,
// where a sample takes a thousand times as long.
func (g *group) causes(ctx context.Context, st *stackup.Study, acc *stackup.Accumulator) (map[string][]Cause, error) {
	failing := 0
	for i := range st.Responses {
		s := acc.Summary(i)
		failing = max(failing, s.Samples-s.Good)
	}
	if failing < fewestFailures || slices.Contains(g.lies, align.LiesAny) {
		return nil, nil
	}
	found, err := st.FailureTails(ctx, stackup.Settings{Samples: min(acc.Samples(), mostLooked), Seed: acc.Seed})
	if err != nil {
		return nil, err
	}
	out := map[string][]Cause{}
	for i := range found {
		if f := &found[i]; f.Failed >= fewestFailures {
			out[f.Name] = common(f)
		}
	}
	return out, nil
}

// common lists the tails that failures lie in for certain more often than usual, the strongest first.
func common(f *stackup.Failures) (out []Cause) {
	for i := range f.Tails {
		t := &f.Tails[i]
		pair := t.Axis > 0 || i+1 < len(f.Tails) && f.Tails[i+1].Axis > 0
		for _, upper := range [2]bool{false, true} {
			q := &t.Lower
			if upper {
				q = &t.Upper
			}
			if q.Interval[0] >= tells {
				out = append(out, Cause{t.Input, t.Axis, pair, upper, q.Value, q.Interval})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Cause) int { return cmp.Compare(b.Times, a.Times) })
	return out
}
