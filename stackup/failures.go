package stackup

import (
	"context"
	"math"
	"slices"

	"example.com/borestack/stackup/internal/num"
	"example.com/borestack/stackup/law"
)

// Failures says how the inputs lie in the samples that fail one response.
type Failures struct {
	Name            string
	Samples, Failed int
	Tails           []Tail // of every column of the model, in order
}

// Tail is how much more often than usual a deviation is in a tail, the outer tenth of its law, when a sample fails: 1 when it has nothing to do with failing, 10 when every failure is there. By Bayes' theorem it is as well how much more often than usual a sample fails when the deviation is in that tail.
type Tail struct {
	Input        string
	Axis         int // 0; of a plane law, 0 for x and 1 for y; of a joint law, which of its deviations
	Lower, Upper Figure
}

// tailShare is the share of a law that is called its tail.
const tailShare = 0.1

// FailureTails runs the study and returns, for every response with limits, in which tails the deviations are when it fails. With no failures every ratio is 1 with an interval from 0 to 1/share of the tail.
//
// When ctx is done it returns what the whole blocks done so far came to, if any, beside an error that wraps ctx.Err().
//
// Source: Hornberger and Spear, An approach to the preliminary analysis of environmental systems, J. Environ. Manage. 12 (1981) (samples parted into those that behave and those that do not, compared input by input); intervals of the share in the tail: Clopper and Pearson.
func (s *Study) FailureTails(ctx context.Context, set Settings) ([]Failures, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	if err := set.Whole(1); err != nil {
		return nil, err
	}
	cuts := s.cuts(set.Seed)
	parts, all := set.Blocks(), newTailCounts(len(s.Responses), len(cuts))
	done, err := Blocks(ctx, set, parts, func() func(int) (*tailCounts, error) {
		w := NewSampler(ctx, s)
		return func(block int) (*tailCounts, error) {
			c := newTailCounts(len(s.Responses), len(cuts))
			return c, w.block("", set.Seed, block, set.Samples, func(_, n int) error { return c.count(s, w, cuts, n) })
		}
	}, func(_ int, c *tailCounts) { all.add(c) })
	if err != nil && done == 0 {
		return nil, err
	}
	var out []Failures
	for k := range s.Responses {
		if q := &s.Responses[k]; q.Limited() || q.Unless > 0 {
			out = append(out, s.failures(k, cuts, all, parts.Of(done)))
		}
	}
	return out, err
}

// cut are the ends of a column's tails, and the shares beyond; negative: to be counted.
type cut struct{ lower, upper, below, above float64 }

// cuts finds the tails. Those of a plane or joint law are put by draws of their own; what share they hold is counted in the run itself.
func (s *Study) cuts(seed uint64) []cut {
	var out []cut
	for i := range s.Inputs {
		in := &s.Inputs[i]
		if in.Law != nil {
			out = append(out, in.cut())
			continue
		}
		const draws = 16 * BlockSize
		x := num.Columns(in.Columns(), draws)
		stream := []law.Stream{law.NewStream(seed, in.Name+"/tails", 0)}
		in.draw(x, make([]float64, draws), stream)
		for _, v := range x {
			slices.Sort(v)
			k := int(math.Round(tailShare * draws))
			out = append(out, cut{v[k], v[draws-1-k], -1, -1})
		}
	}
	return out
}

// cut are the ends of a law's tails.
func (in *Input) cut() cut {
	defer in.named()
	c := cut{lower: in.Law.Quantile(tailShare), upper: in.Law.UpperQuantile(tailShare)}
	c.below, c.above = in.Law.CDF(c.lower), in.Law.Survival(math.Nextafter(c.upper, math.Inf(-1)))
	c.lower, c.upper = in.moved.to(0, c.lower), in.moved.to(0, c.upper)
	return c
}

// tailCounts are counts of one block.
type tailCounts struct {
	failed []int
	of     [][]inTails // response, column; the last row counts all samples
}

type inTails struct{ lower, upper int }

func newTailCounts(responses, columns int) *tailCounts {
	c := &tailCounts{make([]int, responses), make([][]inTails, responses+1)}
	for k := range c.of {
		c.of[k] = make([]inTails, columns)
	}
	return c
}

func (c *tailCounts) add(o *tailCounts) {
	for k := range c.of {
		for i := range c.of[k] {
			c.of[k][i].lower += o.of[k][i].lower
			c.of[k][i].upper += o.of[k][i].upper
		}
	}
	for k := range c.failed {
		c.failed[k] += o.failed[k]
	}
}

// count adds the n samples of a batch.
func (c *tailCounts) count(s *Study, w *Sampler, cuts []cut, n int) error {
	for k := range s.Responses {
		if err := s.Responses[k].Known(w.Y, n); err != nil {
			return err
		}
	}
	for i := range n {
		countTails(c.of[len(c.failed)], w.X, cuts, i)
		for k := range s.Responses {
			if !s.Responses[k].Good(w.Y, i) {
				c.failed[k]++
				countTails(c.of[k], w.X, cuts, i)
			}
		}
	}
	return nil
}

// countTails adds the tails that sample i is in.
func countTails(to []inTails, x [][]float64, cuts []cut, i int) {
	for c := range to {
		v := x[c][i]
		if v <= cuts[c].lower {
			to[c].lower++
		}
		if v >= cuts[c].upper { // both, for a constant
			to[c].upper++
		}
	}
}

// failures makes ratios of the counts.
func (s *Study) failures(k int, cuts []cut, all *tailCounts, samples int) Failures {
	out := Failures{Name: s.Responses[k].Name, Samples: samples, Failed: all.failed[k]}
	usual := all.of[len(s.Responses)]
	column := 0
	for i := range s.Inputs {
		for axis := range s.Inputs[i].Columns() {
			c, got, n := cuts[column], all.of[k][column], usual[column]
			if c.below < 0 {
				c.below, c.above = float64(n.lower)/float64(samples), float64(n.upper)/float64(samples)
			}
			out.Tails = append(out.Tails, Tail{s.Inputs[i].Name, axis, ratio(got.lower, out.Failed, c.below), ratio(got.upper, out.Failed, c.above)})
			column++
		}
	}
	return out
}

// ratio is the share k of n over a usual share.
func ratio(k, n int, usual float64) Figure {
	if !(usual > 0) {
		return Figure{1, 0, [2]float64{1, 1}}
	}
	if n == 0 {
		return Figure{1, 1 / usual, [2]float64{0, 1 / usual}}
	}
	p := float64(k) / float64(n)
	in := num.BinomialInterval(k, n)
	return Figure{p / usual, math.Sqrt(p*(1-p)/float64(n)) / usual, [2]float64{in[0] / usual, in[1] / usual}}
}
