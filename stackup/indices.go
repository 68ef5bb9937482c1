package stackup

import (
	"context"
	"fmt"

	"gonum.org/v1/gonum/floats"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/internal/num"
)

// Indices are the samples that Sobol indices are worked out from. It is made by [Study.SobolIndices].
type Indices struct {
	Samples int
	inputs  []string
	groups  []pickFreeze // one for each batch, in order
}

// Index is what one input, with both numbers of a plane law and all deviations of a joint law, is to the variance of an output. Deviations that vary together have one index, that of their group; their own, or one after the other, would depend on the order. First is the share that is lost, on average, when the input is known; Total is the share that is left when all others are. Total less First is what it does together with others. Estimates of shares near 0 may come out a little below it.
//
// Source: Sobol', Global sensitivity indices for nonlinear mathematical models and their Monte Carlo estimates, Math. Comput. Simul. 55 (2001) (indices of groups of variables); Saltelli et al., Global Sensitivity Analysis: The Primer, Wiley 2008 (groups) (both from memory).
type Index struct {
	Input        string
	First, Total Figure
}

// pickFreeze are the sums of one batch: of outputs a and b of two independent samples, less a fixed centre, and of d,
// the change of a when one input's deviation is taken from b.
type pickFreeze struct {
	n  float64
	of [][]float64 // per response: Σ a, Σ b, Σ a² + b², and for each input Σ b·d, Σ d, Σ d²
}

// Where the sums of a response stand.
const (
	sumA = iota
	sumB
	sumSquares
	ofSamples     // so many of the two samples, and after them
	ofInput   = 3 // of each input
)

// sumsOf is where the sums of an input stand.
func sumsOf(input int) int { return ofSamples + ofInput*input }

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
	for k, c := range centres {
		if c-c != 0 {
			centres[k] = 0
		}
	}
	out := &Indices{}
	for i := range s.Inputs {
		out.inputs = append(out.inputs, s.Inputs[i].Name)
	}
	parts := set.Blocks()
	done, err := Blocks(ctx, set, parts, func() func(int) ([]pickFreeze, error) {
		w := newPicker(ctx, s, centres)
		return func(block int) ([]pickFreeze, error) { return w.block(&set, block) }
	}, func(_ int, of []pickFreeze) { out.groups = append(out.groups, of...) })
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

func newPicker(ctx context.Context, s *Study, centres []float64) *picker {
	return &picker{s, centres, NewSampler(ctx, s), NewSampler(ctx, s), NewSampler(ctx, s)}
}

// block works out the sums of a block's batches.
func (w *picker) block(set *Settings, block int) (out []pickFreeze, err error) {
	w.b.Begin("/b", set.Seed, block)
	err = w.a.block("", set.Seed, block, set.Samples, func(_, n int) error {
		g := newPickFreeze(n, len(w.study.Responses), len(w.study.Inputs))
		out = append(out, g)
		w.b.draw()
		if err := w.b.evaluator.Evaluate(w.b.Y, w.b.X, n); err != nil {
			return err
		}
		if err := w.variance(&g, n); err != nil {
			return err
		}
		copy(w.picked.X, w.a.X)
		for i := range w.study.Inputs {
			from, to := w.a.columns(i)
			copy(w.picked.X[from:to], w.b.X[from:to])
			if err := w.picked.evaluator.Evaluate(w.picked.Y, w.picked.X, n); err != nil {
				return err
			}
			if err := w.change(&g, i, n); err != nil {
				return err
			}
			copy(w.picked.X[from:to], w.a.X[from:to])
		}
		return nil
	})
	return out, err
}

// newPickFreeze has room for the sums of n samples.
func newPickFreeze(n, responses, inputs int) pickFreeze {
	return pickFreeze{float64(n), num.Columns(responses, sumsOf(inputs))}
}

// variance adds up the two samples.
func (w *picker) variance(g *pickFreeze, n int) error {
	for k, v := range g.of {
		c, of := w.centres[k], w.study.Responses[k].Output
		yb := w.b.Y[of][:n]
		var as, bs, squares float64
		for i, a := range w.a.Y[of][:n] {
			a, b := a-c, yb[i]-c
			as += a
			bs += b
			squares += a*a + b*b
		}
		if squares-squares != 0 {
			return w.infinite(k, n)
		}
		v[sumA], v[sumB], v[sumSquares] = as, bs, squares
	}
	return nil
}

// change adds up what input i's deviation from the second sample changes.
func (w *picker) change(g *pickFreeze, i, n int) error {
	for k, v := range g.of {
		of, c := w.study.Responses[k].Output, w.centres[k]
		var bd, d, dd float64
		for j, y := range w.picked.Y[of][:n] {
			by := y - w.a.Y[of][j]
			bd += (w.b.Y[of][j] - c) * by
			d += by
			dd += by * by
		}
		if dd-dd != 0 {
			return w.infinite(k, n)
		}
		copy(v[sumsOf(i):], []float64{bd, d, dd})
	}
	return nil
}

// infinite finds the first sample whose response k is not finite.
func (w *picker) infinite(k, n int) error {
	q := &w.study.Responses[k]
	for i := range n {
		for _, of := range [3]*Sampler{w.a, w.b, w.picked} {
			if y := of.Y[q.Output][i]; y-y != 0 {
				return q.infinite(i, y)
			}
		}
	}
	return &fault.SampleError{Err: fmt.Errorf("%s overflows: %w", q.Name, fault.ErrNotFinite)}
}

// Of returns the indices of one response, in the order of the inputs; given several, those of all together as a vector, whose variance is the trace of its covariance. When nothing varies, all are 0. It panics if there is none of a number.
//
// The intervals come from leaving out one batch at a time.
//
// Source: Gamboa, Janon, Klein and Lagnoux, Sensitivity analysis for multidimensional and functional outputs, Electron. J. Stat. 8 (2014), for vectors; Efron and Stein, The jackknife estimate of variance, Ann. Stat. 9 (1981).
func (x *Indices) Of(responses ...int) []Index {
	out := make([]Index, len(x.inputs))
	all := x.sum(responses)
	dof := float64(len(x.groups) - 1)
	first, total := make([]float64, len(x.groups)), make([]float64, len(x.groups))
	for i := range out {
		var a, b float64
		for g := range x.groups {
			rest := all.without(&x.groups[g], responses, i)
			first[g], total[g] = rest.indices()
		}
		a, b = all.without(nil, responses, i).indices()
		out[i] = Index{x.inputs[i], NewFigure(a, num.Jackknife(first), dof), NewFigure(b, num.Jackknife(total), dof)}
	}
	return out
}

// sum adds up all batches.
func (x *Indices) sum(responses []int) *pickFreeze {
	all := newPickFreeze(0, len(x.groups[0].of), len(x.inputs))
	for g := range x.groups {
		all.n += x.groups[g].n
		for _, k := range responses {
			floats.Add(all.of[k], x.groups[g].of[k])
		}
	}
	return &all
}

// parts are the variance and what one input is to it.
type parts struct{ variance, first, total float64 }

// without is what one input is to the variance of the responses together, less one group.
func (p *pickFreeze) without(g *pickFreeze, responses []int, input int) (out parts) {
	for _, k := range responses {
		n, at := p.n, func(i int) float64 { return p.of[k][i] }
		if g != nil {
			n, at = p.n-g.n, func(i int) float64 { return p.of[k][i] - g.of[k][i] }
		}
		own := sumsOf(input)
		mean := (at(sumA) + at(sumB)) / (2 * n)
		out.variance += at(sumSquares)/(2*n) - mean*mean
		out.first += (at(own) - mean*at(own+1)) / n
		out.total += at(own+2) / (2 * n)
	}
	return out
}

func (p parts) indices() (first, total float64) {
	if !(p.variance > 0) {
		return 0, 0
	}
	return p.first / p.variance, p.total / p.variance
}
