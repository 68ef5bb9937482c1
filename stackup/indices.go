package stackup

import (
	"context"
	"errors"
	"fmt"
	"math"

	"example.com/borestack/fault"
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

// pickFreeze are the sums of one batch: of outputs a and b of two independent samples, less a fixed centre, and of d, the change of a when one input's deviation is taken from b.
type pickFreeze struct {
	n  float64
	of []variances // per wanted number
}

type variances struct {
	a, b, squares float64
	d             []mixedSums // per input
}

// mixedSums are Σ b·d, Σ d, Σ d².
type mixedSums struct{ bd, d, dd float64 }

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
	if err := set.whole(fewestGroups * batch); err != nil {
		return nil, err
	}
	centres, err := s.nominal(ctx)
	if err != nil {
		return nil, err
	}
	u := set.blocks()
	out := newIndices(s, set.Samples)
	done, err := sweep(ctx, &set, u, func() *picker { return newPicker(s, centres) }, func(w *picker, block int) error {
		w.a.begin(set.Seed, block)
		w.b.begin(set.Seed, block)
		for at := block * BlockSize; at < min((block+1)*BlockSize, set.Samples); at += batch {
			if err := w.run(&out.groups[at/batch], min(batch, set.Samples-at)); err != nil {
				return w.blame(err, at)
			}
		}
		return nil
	})
	if out.Samples = u.of(done); out.Samples < fewestGroups*batch {
		return nil, err
	}
	out.groups = out.groups[:(out.Samples+batch-1)/batch]
	return out, err
}

// newIndices has room for the sums of all batches.
func newIndices(s *Study, samples int) *Indices {
	out := &Indices{Samples: samples, groups: make([]pickFreeze, (samples+batch-1)/batch)}
	for i := range s.Inputs {
		out.inputs = append(out.inputs, s.Inputs[i].Name)
	}
	wanted, inputs := len(s.Wanted), len(s.Inputs)
	of, d := make([]variances, len(out.groups)*wanted), make([]mixedSums, len(out.groups)*wanted*inputs)
	for g := range out.groups {
		out.groups[g].of = of[g*wanted : (g+1)*wanted]
		for k := range wanted {
			of[g*wanted+k].d = d[(g*wanted+k)*inputs : (g*wanted+k+1)*inputs]
		}
	}
	return out
}

// picker is the memory of one worker.
type picker struct {
	study      *Study
	centres    []float64
	evaluator  Evaluator
	a, b       *drawer
	xa, xb, xm [][]float64
	ya, yb, ym [][]float64
}

func newPicker(s *Study, centres []float64) *picker {
	n, m := s.Model.Inputs(), s.Model.Outputs()
	w := &picker{
		study: s, evaluator: newEvaluator(s.Model), a: newDrawer(s.Inputs, ""), b: newDrawer(s.Inputs, "/b"),
		xa: columns(n, batch), xb: columns(n, batch), xm: make([][]float64, n),
		ya: columns(m, batch), yb: columns(m, batch), ym: columns(m, batch), centres: make([]float64, len(centres)),
	}
	for k, c := range centres {
		if c-c == 0 {
			w.centres[k] = c
		}
	}
	return w
}

// run works out one batch.
func (w *picker) run(g *pickFreeze, n int) error {
	w.a.draw(w.xa)
	w.b.draw(w.xb)
	if err := w.evaluator.Evaluate(w.ya, w.xa, n); err != nil {
		return err
	}
	if err := w.evaluator.Evaluate(w.yb, w.xb, n); err != nil {
		return err
	}
	wanted := w.study.Wanted
	g.n = float64(n)
	for k := range wanted {
		v, c := &g.of[k], w.centres[k]
		ya, yb := w.ya[wanted[k].Output][:n], w.yb[wanted[k].Output][:n]
		for i, a := range ya {
			a, b := a-c, yb[i]-c
			v.a += a
			v.b += b
			v.squares += a*a + b*b
		}
		if v.squares-v.squares != 0 {
			return w.infinite(k, n)
		}
	}
	copy(w.xm, w.xa)
	column := 0
	for i := range w.study.Inputs {
		to := column + w.study.Inputs[i].columns()
		copy(w.xm[column:to], w.xb[column:to])
		if err := w.evaluator.Evaluate(w.ym, w.xm, n); err != nil {
			return err
		}
		for k := range wanted {
			d := &g.of[k].d[i]
			of, c := wanted[k].Output, w.centres[k]
			for j, y := range w.ym[of][:n] {
				by := y - w.ya[of][j]
				d.bd += (w.yb[of][j] - c) * by
				d.d += by
				d.dd += by * by
			}
			if d.dd-d.dd != 0 {
				return w.infinite(k, n)
			}
		}
		copy(w.xm[column:to], w.xa[column:to])
		column = to
	}
	return nil
}

// infinite finds the first sample whose wanted number k is not finite.
func (w *picker) infinite(k, n int) error {
	q := &w.study.Wanted[k]
	for i := range n {
		for _, y := range [3]float64{w.ya[q.Output][i], w.yb[q.Output][i], w.ym[q.Output][i]} {
			if y-y != 0 {
				return &SampleError{Index: i, Err: fmt.Errorf("%s is %g, which has no variance: %w", q.Name, y, fault.ErrNotFinite)}
			}
		}
	}
	return &SampleError{Err: fmt.Errorf("%s overflows: %w", q.Name, fault.ErrNotFinite)}
}

// blame completes the error of a sample of the first of the two samples; one of another may share its index.
func (w *picker) blame(err error, first int) error { return blame(err, w.xa, first) }

// blame completes the error of a sample whose index counts from first.
func blame(err error, x [][]float64, first int) error {
	var e *SampleError
	if !errors.As(err, &e) {
		return fmt.Errorf("stackup: samples from %d: %w", first, err)
	}
	out := &SampleError{Index: first + e.Index, Inputs: e.Inputs, Err: e.Err}
	if out.Inputs == nil && e.Index >= 0 {
		for c := range x {
			if e.Index < len(x[c]) {
				out.Inputs = append(out.Inputs, x[c][e.Index])
			}
		}
	}
	return out
}

// Of returns the indices of one wanted number, in the order of the inputs; given several, those of all together as a vector, whose variance is the trace of its covariance. When nothing varies, all are 0. It panics if there is none of a number.
//
// The intervals come from leaving out one batch at a time.
//
// Source: Gamboa, Janon, Klein and Lagnoux, Sensitivity analysis for multidimensional and functional outputs, Electron. J. Stat. 8 (2014), for vectors; Efron and Stein, The jackknife estimate of variance, Ann. Stat. 9 (1981).
func (x *Indices) Of(wanted ...int) []Index {
	out := make([]Index, len(x.inputs))
	all := x.sum(wanted)
	dof := float64(len(x.groups) - 1)
	first, total := make([]float64, len(x.groups)), make([]float64, len(x.groups))
	for i := range out {
		var a, b float64
		for g := range x.groups {
			rest := all.without(&x.groups[g], wanted, i)
			first[g], total[g] = rest.indices()
		}
		a, b = all.without(nil, wanted, i).indices()
		out[i] = Index{x.inputs[i], figure(a, jackknife(first), dof), figure(b, jackknife(total), dof)}
	}
	return out
}

// jackknife is the standard error from estimates that leave out one group each.
func jackknife(v []float64) float64 {
	n := float64(len(v))
	var mean, squares float64
	for _, u := range v {
		mean += u / n
	}
	for _, u := range v {
		squares += (u - mean) * (u - mean)
	}
	return math.Sqrt(squares * (n - 1) / n)
}

// sum adds up all batches.
func (x *Indices) sum(wanted []int) *pickFreeze {
	all := &pickFreeze{of: make([]variances, len(x.groups[0].of))}
	for _, k := range wanted {
		all.of[k].d = make([]mixedSums, len(x.inputs))
	}
	for g := range x.groups {
		all.n += x.groups[g].n
		for _, k := range wanted {
			to, from := &all.of[k], &x.groups[g].of[k]
			to.a += from.a
			to.b += from.b
			to.squares += from.squares
			for i := range to.d {
				to.d[i].bd += from.d[i].bd
				to.d[i].d += from.d[i].d
				to.d[i].dd += from.d[i].dd
			}
		}
	}
	return all
}

// parts are the variance and what one input is to it.
type parts struct{ variance, first, total float64 }

// without is what one input is to the variance of the wanted numbers together, less one group.
func (p *pickFreeze) without(g *pickFreeze, wanted []int, input int) (out parts) {
	for _, k := range wanted {
		n, v := p.n, p.of[k]
		d := v.d[input]
		if g != nil {
			less := &g.of[k]
			n -= g.n
			v.a -= less.a
			v.b -= less.b
			v.squares -= less.squares
			d.bd -= less.d[input].bd
			d.d -= less.d[input].d
			d.dd -= less.d[input].dd
		}
		mean := (v.a + v.b) / (2 * n)
		out.variance += v.squares/(2*n) - mean*mean
		out.first += (d.bd - mean*d.d) / n
		out.total += d.dd / (2 * n)
	}
	return out
}

func (p parts) indices() (first, total float64) {
	if !(p.variance > 0) {
		return 0, 0
	}
	return p.first / p.variance, p.total / p.variance
}
