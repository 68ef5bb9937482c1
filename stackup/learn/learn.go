package learn

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"

	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/num"
)

// Observation is a reading of one output of a model.
type Observation struct {
	Output      int     // column of the model's outputs
	Value       float64 // what was read
	Uncertainty float64 // standard uncertainty of the reading, from a normal law, more than 0: samples are weighed by it
}

// check finds what is wrong with a reading of a model with so many outputs.
func (o *Observation) check(outputs, number int) error {
	name := fmt.Sprintf("observation %d", number)
	switch {
	case o.Output < 0 || o.Output >= outputs:
		return fault.At(name, fmt.Sprintf("output %d", o.Output), fmt.Sprintf("one of the model's %d", outputs), fault.ErrOutOfRange)
	case !ieee.Finite(o.Value):
		return fault.At(name, fmt.Sprintf("value %g", o.Value), "a finite number", fault.ErrOutOfRange)
	case !(o.Uncertainty > 0) || math.IsInf(o.Uncertainty, 1):
		return fault.At(name, fmt.Sprintf("uncertainty %g", o.Uncertainty), "more than 0, to weigh samples by", fault.ErrOutOfRange)
	}
	return nil
}

// Learnt is what is known of a study after observations, by weighted samples. It is made by [From].
type Learnt struct {
	Samples   int
	Effective float64     // how many unweighted samples would be worth as much
	Inputs    []Posterior // of every column of the model, in order
	Responses []Posterior
	Doubt     string // why the errors may be too small; empty: no sign of it
}

// Posterior is what is known of one deviation or response.
type Posterior struct {
	Name     string
	Axis     int // of a joint law, which of its deviations
	Mean, SD stackup.Figure
	Yield    stackup.Figure // of a response: the chance that it is within limits
}

// fewestBlocks is how many blocks the errors of weighted samples need.
const fewestBlocks = 16

// From weighs samples of a study by how likely they make the readings, whose uncertainties must be above 0, and
// returns what is known then of the deviations and the responses, whatever the model and the laws. Four samples
// in five are drawn from a normal law about the likeliest deviations, found by the model's slopes, and the weights
// take that back; so that sharp readings do not leave only a few samples with weight. A sample whose observed output
// is not finite has no weight. At least 16,384 samples are needed; the errors come from leaving out one block at a
// time.
//
// When ctx is done it returns what the whole blocks done so far came to, if they are enough, beside an error that
// wraps ctx.Err().
//
// Source: Robert and Casella, Monte Carlo Statistical Methods, 2nd ed., Springer 2004, 3.3 (self-normalised
// importance sampling); Kong, Liu and Wong, Sequential imputations and Bayesian missing data problems, J. Am. Stat.
// Assoc. 89 (1994) (effective samples).
func From(ctx context.Context, s *stackup.Study, readings []Observation, set stackup.Settings) (*Learnt, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	if err := set.Whole(fewestBlocks * stackup.BlockSize); err != nil {
		return nil, err
	}
	for k := range readings {
		o := &readings[k]
		if err := o.check(s.Model.Outputs(), k); err != nil {
			return nil, err
		}
	}
	likely, err := near(ctx, s, readings)
	if err != nil {
		return nil, err
	}
	centres, err := s.Nominal(ctx)
	if err != nil {
		return nil, err
	}
	parts := set.Blocks()
	var sums []weighed
	done, err := stackup.Blocks(ctx, set, parts, func() func(int) (weighed, error) {
		w := newWeigher(ctx, s, likely, readings, centres)
		return func(block int) (weighed, error) { return w.block(&set, block) }
	}, func(_ int, of weighed) { sums = append(sums, of) })
	out := &Learnt{Samples: parts.Of(done)}
	if out.Samples < fewestBlocks*stackup.BlockSize {
		return nil, err
	}
	if err := out.conclude(s, sums, centres); err != nil {
		return nil, err
	}
	return out, err
}

// conclude works out the figures.
func (t *Learnt) conclude(s *stackup.Study, sums []weighed, centres []float64) error {
	top := math.Inf(-1)
	for b := range sums {
		top = math.Max(top, sums[b].top)
	}
	if math.IsInf(top, -1) {
		return fmt.Errorf("stackup: the observations have no chance in any of %d samples: %w", t.Samples, fault.ErrNotFinite)
	}
	all := make([]float64, len(sums[0].of))
	for b := range sums {
		sums[b].raise(top)
		floats.Add(all, sums[b].of)
	}
	t.Effective = all[0] * all[0] / all[1]
	const fewest = 200
	if t.Effective < fewest {
		t.Doubt = fmt.Sprintf("the weights leave %.0f effective samples", t.Effective)
	}
	c := 0
	for i := range s.Inputs {
		for axis := range s.Inputs[i].Columns() {
			p := posterior(all, sums, c, 0)
			p.Name, p.Axis, p.Yield = s.Inputs[i].Name, axis, stackup.Figure{}
			t.Inputs = append(t.Inputs, p)
			c++
		}
	}
	for k := range s.Responses {
		p := posterior(all, sums, c+k, centres[k])
		p.Name = s.Responses[k].Name
		t.Responses = append(t.Responses, p)
	}
	return nil
}

// posterior are the figures of one column of the sums, with the errors of leaving out one block.
func posterior(all []float64, sums []weighed, c int, centre float64) Posterior {
	figures := func(of []float64) [3]float64 {
		w, v := of[0], of[sumsOf(c):]
		mean := v[0] / w
		return [3]float64{mean, math.Sqrt(math.Max(v[1]/w-mean*mean, 0)), v[2] / w}
	}
	without, rest := num.Columns(3, len(sums)), make([]float64, len(all))
	for b := range sums {
		for k, v := range figures(floats.SubTo(rest, all, sums[b].of)) {
			without[k][b] = v
		}
	}
	whole := figures(all)
	dof := float64(len(sums) - 1)
	return Posterior{
		Mean: stackup.NewFigure(centre+whole[0], num.Jackknife(without[0]), dof), SD: stackup.NewFigure(whole[1], num.Jackknife(without[1]), dof), Yield: stackup.NewFigure(whole[2], num.Jackknife(without[2]), dof),
	}
}
