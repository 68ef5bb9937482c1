package stackup

import (
	"context"

	"gonum.org/v1/gonum/floats"

	"example.com/borestack/internal/ieee"
	"example.com/borestack/stackup/internal/num"
)

// Indices are the samples that Sobol indices are worked out from. It is made by [Study.SobolIndices].
type Indices struct {
	Samples int
	inputs  []string
	groups  [][][]float64 // sums of each batch, in order: response, and what of it
}

// Index is what one input, with all deviations of a joint law, is to the variance of an output. Deviations that vary together have one index, that of their group; their own, or one after the other, would depend on the order. First is the share that is lost, on average, when the input is known; Total is the share that is left when all others are. Total less First is what it does together with others. Estimates of shares near 0 may come out a little below it.
//
// Source: Sobol', Global sensitivity indices for nonlinear mathematical models and their Monte Carlo estimates, Math. Comput. Simul. 55 (2001) (indices of groups of variables); Saltelli et al., Global Sensitivity Analysis: The Primer, Wiley 2008 (groups) (both from memory).
type Index struct {
	Input        string
	First, Total Figure
}

// Where the sums of a response stand: of outputs a and b of two independent samples, less a fixed centre, and of d,
// the change of a when one input's deviation is taken from b.
const (
	sumN       = iota // samples
	sumA              // Σ a
	sumB              // Σ b
	sumSquares        // Σ a² + b²
	ofSamples         // so many of the two samples, and after them Σ b·d, Σ d and Σ d²
	ofInput    = 3    // of each input
)

// fewestGroups is how many batches an interval needs.
const fewestGroups = 8

// SobolIndices evaluates the model on two independent samples and, for each input, on the first with that input's deviations from the second: Samples·(inputs + 2) evaluations. The second sample is keyed by the inputs' names with "/b" behind, the first is that of [Study.Run]. At least 2,048 samples are needed. A number that is not finite ends the run: it has no variance to share out.
//
// When ctx is done it returns what the whole blocks done so far came to, if they are enough, beside an error that wraps ctx.Err().
//
// Source: Saltelli et al., Variance based sensitivity analysis of model output, Comput. Phys. Commun. 181 (2010), table 2: (b) for the first order, outputs less their mean; (f), due to Jansen, for the total.
func (s *Study) SobolIndices(ctx context.Context, set Settings) (*Indices, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	if err := set.Whole(fewestGroups * BatchSize); err != nil {
		return nil, err
	}
	centres, err := s.Nominal(ctx)
	if err != nil {
		return nil, err
	}
	out := &Indices{}
	for i := range s.Inputs {
		out.inputs = append(out.inputs, s.Inputs[i].Name)
	}
	parts := set.Blocks()
	done, err := Blocks(ctx, set, parts, func() func(int) ([][][]float64, error) {
		w := &picker{s, centres, NewSampler(ctx, s), NewSampler(ctx, s), NewSampler(ctx, s)}
		return func(block int) ([][][]float64, error) { return w.block(&set, block) }
	}, func(_ int, of [][][]float64) { out.groups = append(out.groups, of...) })
	if out.Samples = parts.Of(done); out.Samples < fewestGroups*BatchSize {
		return nil, err
	}
	return out, err
}

// picker evaluates two independent samples, and the first with one input's deviation from the second.
type picker struct {
	study        *Study
	centres      []float64
	a, b, picked *Sampler
}

// block works out the sums of a block's batches.
func (w *picker) block(set *Settings, block int) (out [][][]float64, err error) {
	w.b.Begin("/b", set.Seed, block)
	err = w.a.block("", set.Seed, block, set.Samples, func(_, n int) error {
		g := num.Columns(len(w.study.Responses), ofSamples+ofInput*len(w.study.Inputs))
		out = append(out, g)
		w.b.draw()
		if err := w.a.finite(n); err != nil {
			return err
		}
		if err := w.b.evaluateFinite(n); err != nil {
			return err
		}
		for k := range g {
			w.variance(k, g[k], n)
		}
		copy(w.picked.X, w.a.X)
		for i := range w.study.Inputs {
			from, to := w.a.columns(i)
			copy(w.picked.X[from:to], w.b.X[from:to])
			if err := w.picked.evaluateFinite(n); err != nil {
				return err
			}
			for k := range g {
				w.change(k, g[k][ofSamples+ofInput*i:], n)
			}
			copy(w.picked.X[from:to], w.a.X[from:to])
		}
		return nil
	})
	return out, err
}

// evaluateFinite evaluates the first n rows of X, whose responses must come out finite.
func (w *Sampler) evaluateFinite(n int) error {
	if err := w.evaluator.Evaluate(w.Y, w.X, n); err != nil {
		return err
	}
	return w.finite(n)
}

// finite returns a [fault.SampleError] for the first of n samples with a response that is not finite.
func (w *Sampler) finite(n int) error {
	for k := range w.study.Responses {
		q := &w.study.Responses[k]
		for i, y := range w.Y[q.Output][:n] {
			if !ieee.Finite(y) {
				return q.infinite(i, y)
			}
		}
	}
	return nil
}

// variance adds up the two samples of response k.
func (w *picker) variance(k int, to []float64, n int) {
	of, c := w.study.Responses[k].Output, w.centres[k]
	to[sumN] = float64(n)
	for i, a := range w.a.Y[of][:n] {
		a, b := a-c, w.b.Y[of][i]-c
		to[sumA] += a
		to[sumB] += b
		to[sumSquares] += a*a + b*b
	}
}

// change adds up what an input's deviation from the second sample changes of response k.
func (w *picker) change(k int, to []float64, n int) {
	of, c := w.study.Responses[k].Output, w.centres[k]
	for i, y := range w.picked.Y[of][:n] {
		d := y - w.a.Y[of][i]
		to[0] += (w.b.Y[of][i] - c) * d
		to[1] += d
		to[2] += d * d
	}
}

// Of returns the indices of one response, in the order of the inputs; given several, those of all together as a vector, whose variance is the trace of its covariance. When nothing varies, all are 0. It panics if there is none of a number.
//
// The intervals come from leaving out one batch at a time.
//
// Source: Gamboa, Janon, Klein and Lagnoux, Sensitivity analysis for multidimensional and functional outputs, Electron. J. Stat. 8 (2014), for vectors; Efron and Stein, The jackknife estimate of variance, Ann. Stat. 9 (1981).
func (x *Indices) Of(responses ...int) []Index {
	out := make([]Index, len(x.inputs))
	all := num.Columns(len(x.groups[0]), len(x.groups[0][0]))
	for _, g := range x.groups {
		for _, k := range responses {
			floats.Add(all[k], g[k])
		}
	}
	dof := float64(len(x.groups) - 1)
	first, total := make([]float64, len(x.groups)), make([]float64, len(x.groups))
	for i := range out {
		for g := range x.groups {
			first[g], total[g] = share(all, x.groups[g], responses, i)
		}
		a, b := share(all, nil, responses, i)
		out[i] = Index{x.inputs[i], NewFigure(a, num.Jackknife(first), dof), NewFigure(b, num.Jackknife(total), dof)}
	}
	return out
}

// share is what one input is to the variance of the responses together, less one group.
func share(all, group [][]float64, responses []int, input int) (first, total float64) {
	var variance float64
	for _, k := range responses {
		at := func(i int) float64 {
			if group == nil {
				return all[k][i]
			}
			return all[k][i] - group[k][i]
		}
		n, own := at(sumN), ofSamples+ofInput*input
		mean := (at(sumA) + at(sumB)) / (2 * n)
		variance += at(sumSquares)/(2*n) - mean*mean
		first += (at(own) - mean*at(own+1)) / n
		total += at(own+2) / (2 * n)
	}
	if !(variance > 0) {
		return 0, 0
	}
	return first / variance, total / variance
}
