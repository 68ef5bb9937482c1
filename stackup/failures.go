package stackup

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

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
	Axis         int // of a joint law, which of its deviations
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
	// for every response, of the samples that fail it, and last of all samples: how many, and for each column how
	// many in the lower and in the upper tail
	counts := func() [][]float64 { return num.Columns(len(s.Responses)+1, 1+2*len(cuts)) }
	all := counts()
	done, err := Blocks(ctx, set, set.Blocks(), func() func(int) ([][]float64, error) {
		w := NewSampler(ctx, s)
		return func(block int) ([][]float64, error) {
			own := counts()
			return own, w.block("", set.Seed, block, set.Samples, func(_, n int) error { return s.countTails(own, w, cuts, n) })
		}
	}, func(_ int, own [][]float64) {
		for k := range all {
			floats.Add(all[k], own[k])
		}
	})
	if err != nil && done == 0 {
		return nil, err
	}
	var out []Failures
	for k := range s.Responses {
		if q := &s.Responses[k]; q.Limited() || q.Unless > 0 {
			out = append(out, s.failures(k, cuts, all))
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
		stream := law.NewStream(seed, in.Name+"/tails", 0)
		(&place{input: in, law: in.joint(), columns: len(x), work: make([]float64, draws)}).draw(x, &stream, draws)
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

// countTails adds the n samples of a batch.
func (s *Study) countTails(to [][]float64, w *Sampler, cuts []cut, n int) error {
	for k := range s.Responses {
		if err := s.Responses[k].Known(w.Y, n); err != nil {
			return err
		}
	}
	for i := range n {
		for k, own := range to {
			if k < len(s.Responses) && s.Responses[k].Good(w.Y, i) {
				continue
			}
			own[0]++
			for c := range cuts {
				v := w.X[c][i]
				if v <= cuts[c].lower {
					own[1+2*c]++
				}
				if v >= cuts[c].upper { // both, for a constant
					own[2+2*c]++
				}
			}
		}
	}
	return nil
}

// failures makes ratios of the counts.
func (s *Study) failures(k int, cuts []cut, all [][]float64) Failures {
	got, usual := all[k], all[len(s.Responses)]
	out := Failures{Name: s.Responses[k].Name, Samples: int(usual[0]), Failed: int(got[0])}
	c := 0
	for i := range s.Inputs {
		for axis := range s.Inputs[i].Columns() {
			q, lower, upper := cuts[c], 1+2*c, 2+2*c
			if q.below < 0 {
				q.below, q.above = usual[lower]/usual[0], usual[upper]/usual[0]
			}
			out.Tails = append(out.Tails, Tail{s.Inputs[i].Name, axis, ratio(int(got[lower]), out.Failed, q.below), ratio(int(got[upper]), out.Failed, q.above)})
			c++
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
