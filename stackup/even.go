package stackup

import (
	"context"
	"fmt"
	"math"
	"math/bits"
	"slices"

	"gonum.org/v1/gonum/mathext"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/internal/sobol"
	"example.com/borestack/stackup/law"
)

// Spacing is how samples are spread more evenly than at random.
type Spacing int

// The ways to spread samples.
const (
	Latin Spacing = iota + 1 // a Latin hypercube: every input in equal strata, one sample in each
	Sobol                    // scrambled points of a Sobol sequence: even in several inputs at once
)

// Replicates of an even run, unless the settings say otherwise.
const evenReplicates = 16

// EvenSettings say how a study is sampled evenly.
type EvenSettings struct {
	Settings           // Samples: of all replicates together, at most
	Spacing    Spacing // Latin or Sobol
	Replicates int     // independent runs, whose scatter is the error; 0: 16; at least 4
}

// Even is what an even run came to. It is made by [Study.RunEven].
type Even struct {
	Samples, Replicates int
	wanted              []Wanted
	y                   [][]float64 // wanted number: samples, replicate after replicate
	good                [][]float64 // wanted number, replicate: share within limits
}

// RunEven draws samples that are spread evenly and evaluates them, in independent replicates whose scatter says how good the result is. Every replicate of a Sobol run has the greatest power of two of samples that fits.
//
// Means, and all that depends on few inputs at once, gain most; the share in a far tail gains little. Inputs from the 257th number on are spread as a Latin hypercube, and plane laws that are not of package law nor [NormalPlane] are drawn at random.
//
// When ctx is done it returns the whole replicates done so far, if there are at least four, beside an error that wraps ctx.Err().
//
// Source: McKay, Beckman and Conover, A comparison of three methods for selecting values of input variables, Technometrics 21 (1979); Owen, Scrambled net variance for integrals of smooth functions, Ann. Stat. 25 (1997); L'Ecuyer et al., Confidence intervals for randomized quasi-Monte Carlo estimators, WSC 2023 (Student's t over replicates).
func (s *Study) RunEven(ctx context.Context, set EvenSettings) (*Even, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	r := set.Replicates
	if r == 0 {
		r = evenReplicates
	}
	const fewest = 4
	if r < fewest {
		return nil, &InputError{"settings", fmt.Sprintf("%d replicates", r), fmt.Sprintf("at least %d, for an error", fewest)}
	}
	if set.Spacing != Latin && set.Spacing != Sobol {
		return nil, &InputError{"settings", fmt.Sprintf("spacing %d", set.Spacing), "Latin or Sobol"}
	}
	if err := set.whole(fewest * r); err != nil {
		return nil, err
	}
	n := set.Samples / r
	if set.Spacing == Sobol {
		n = 1 << (bits.Len(uint(n)) - 1)
	}
	out := &Even{Samples: n * r, Replicates: r, wanted: slices.Clone(s.Wanted), y: columns(len(s.Wanted), n*r), good: columns(len(s.Wanted), r)}
	done, err := sweep(ctx, &set.Settings, units{r, n, n * r}, func() *spreader { return newSpreader(s, n) }, func(w *spreader, k int) error {
		w.begin(set.Spacing, set.Seed, k)
		for at := 0; at < n; at += batch {
			if ctx.Err() != nil {
				return errHalted
			}
			if err := w.run(out, k, at, min(batch, n-at)); err != nil {
				return blame(err, w.x, k*n+at)
			}
		}
		return nil
	})
	if done < fewest {
		return nil, err
	}
	out.Samples, out.Replicates = done*n, done
	for k := range out.y {
		out.y[k], out.good[k] = out.y[k][:out.Samples], out.good[k][:done]
	}
	return out, err
}

// spreader is the memory of one worker.
type spreader struct {
	study     *Study
	evaluator Evaluator
	space     *space
	n         int
	columns   []sobol.Column
	strata    [][]int32 // of a Latin column; nil: a Sobol column
	streams   []law.Stream
	u, x, y   [][]float64
	work      []float64
}

func newSpreader(s *Study, n int) *spreader {
	p := newSpace(s.Inputs)
	return &spreader{
		study: s, evaluator: newEvaluator(s.Model), space: p, n: n,
		columns: make([]sobol.Column, p.numbers), strata: make([][]int32, p.numbers), streams: make([]law.Stream, len(s.Inputs)),
		u: columns(p.numbers, batch), x: columns(s.Model.Inputs(), batch), y: columns(s.Model.Outputs(), batch), work: make([]float64, batch),
	}
}

// begin makes the columns of a replicate.
func (w *spreader) begin(how Spacing, seed uint64, replicate int) {
	for i := range w.space.places {
		p := &w.space.places[i]
		w.streams[i] = law.NewStream(seed, p.input.Name+"/even", uint64(replicate))
		for c := p.number; c < p.number+p.numbers; c++ {
			if how == Sobol && c < sobol.Dimensions {
				w.columns[c].Scramble(c, bits.Len(uint(w.n))-1, &w.streams[i])
				w.strata[c] = nil
				continue
			}
			if w.strata[c] == nil {
				w.strata[c] = make([]int32, w.n)
			}
			for k := range w.strata[c] {
				j, _ := bits.Mul64(w.streams[i].Uint64(), uint64(k+1))
				w.strata[c][k] = w.strata[c][j]
				w.strata[c][j] = int32(k)
			}
		}
	}
}

// draw fills the columns with samples from at on.
func (w *spreader) draw(at, n int) {
	for i := range w.space.places {
		p := &w.space.places[i]
		if p.of == nil {
			w.opaque(p, i, n)
			continue
		}
		for c := p.number; c < p.number+p.numbers; c++ {
			u := w.u[c][:n]
			if w.strata[c] == nil {
				w.columns[c].Fill(u)
				continue
			}
			for k := range u {
				u[k] = (float64(w.strata[c][at+k]) + w.streams[i].Float64()) / float64(w.n)
			}
		}
		w.make(p, n)
	}
}

// opaque draws an input at random.
func (w *spreader) opaque(p *place, i, n int) {
	p.x = p.x[:0]
	for c := range p.columns {
		p.x = append(p.x, w.x[p.column+c][:n])
	}
	defer nameInput(&p.input)
	p.input.draw(p.x, w.work, w.streams[i:i+1])
}

// make turns an input's numbers between 0 and 1 into its columns.
func (w *spreader) make(p *place, n int) {
	if p.input.Law != nil && !fromNormals(p.input.Law) {
		defer nameInput(&p.input)
		law.Inverse(p.input.Law, w.x[p.column][:n], w.u[p.number][:n])
		return
	}
	for c := p.number; c < p.number+p.numbers; c++ {
		for k, u := range w.u[c][:n] {
			w.u[c][k] = mathext.NormalQuantile(u)
		}
	}
	p.fill(w.x, w.u, n)
}

// fromNormals reports whether a law is quicker made from normal numbers than from its quantiles.
func fromNormals(l law.Law) bool {
	switch l := l.(type) {
	case law.Normal, law.LogNormal:
		return true
	case affine:
		return fromNormals(l.law)
	}
	return false
}

func (w *spreader) run(out *Even, replicate, at, n int) error {
	w.draw(at, n)
	if err := w.evaluator.Evaluate(w.y, w.x, n); err != nil {
		return err
	}
	for k := range w.study.Wanted {
		q := &w.study.Wanted[k]
		y := w.y[q.Output][:n]
		copy(out.y[k][replicate*w.n+at:], y)
		for i, v := range y {
			if v != v {
				return &SampleError{Index: i, Err: fmt.Errorf("%s is not a number", q.Name)}
			}
			if q.good(w.y, i) {
				out.good[k][replicate] += 1 / float64(w.n)
			}
		}
	}
	return nil
}

// replicate lists the samples of one.
func (e *Even) replicate(i, r int) []float64 {
	n := e.Samples / e.Replicates
	return e.y[i][r*n : (r+1)*n]
}

// Mean returns the mean of wanted number i; not finite when a sample is not. It panics, as the others do, if there is none of that number.
func (e *Even) Mean(i int) Figure {
	means := make([]float64, e.Replicates)
	for r := range means {
		var sum float64
		for _, v := range e.replicate(i, r) {
			sum += v
		}
		means[r] = sum / float64(e.Samples/e.Replicates)
	}
	return scatter(means)
}

// scatter is the mean of independent results.
func scatter(v []float64) Figure {
	n := float64(len(v))
	var mean, squares float64
	for _, u := range v {
		mean += u / n
	}
	for _, u := range v {
		squares += (u - mean) * (u - mean)
	}
	return figure(mean, math.Sqrt(squares/n/(n-1)), n-1)
}

// SD returns the standard deviation; its error comes from leaving out one replicate at a time.
func (e *Even) SD(i int) Figure {
	centre := e.y[i][0]
	sums := make([][2]float64, e.Replicates)
	var all [2]float64
	for r := range sums {
		for _, v := range e.replicate(i, r) {
			sums[r][0] += v - centre
			sums[r][1] += (v - centre) * (v - centre)
		}
		all[0] += sums[r][0]
		all[1] += sums[r][1]
	}
	sd := func(n, sum, squares float64) float64 {
		return math.Sqrt(math.Max(squares-sum*sum/n, 0) / n)
	}
	without := make([]float64, e.Replicates)
	n := float64(e.Samples)
	for r, s := range sums {
		without[r] = sd(n*(1-1/float64(e.Replicates)), all[0]-s[0], all[1]-s[1])
	}
	return figure(sd(n, all[0], all[1]), jackknife(without), float64(e.Replicates-1))
}

// Yield returns the share within limits. When all replicates agree to be all good or all bad, the interval is that of as many random samples; otherwise the error is at least that of one sample.
func (e *Even) Yield(i int) Figure {
	f := scatter(e.good[i])
	if n := float64(e.Samples); f.Error == 0 && (math.Abs(f.Value-1)*n < 0.5 || f.Value*n < 0.5) {
		return Figure{math.Round(f.Value), 1 / n, binomialInterval(int(math.Round(f.Value*n)), e.Samples, level)}
	}
	if least := 1 / float64(e.Samples); f.Error < least { // replicates that agree to a sample say no more
		f = figure(f.Value, least, float64(e.Replicates-1))
	}
	f.Interval = [2]float64{math.Max(f.Interval[0], 0), math.Min(f.Interval[1], 1)}
	return f
}

// Quantile returns the value below which a share p of all samples lies; its error is the scatter of the replicates about it. It returns an [InputError] when p is not within 0 and 1 or a replicate has fewer than 5 samples on either side of it, and [fault.ErrNotFinite] when the value is not finite.
func (e *Even) Quantile(i int, p float64) (Figure, error) {
	const fewest = 5
	if n := float64(e.Samples / e.Replicates); !(p > 0 && p < 1) || n*math.Min(p, 1-p) < fewest {
		return Figure{}, &InputError{e.wanted[i].Name, fmt.Sprintf("quantile %g of %d samples in each replicate", p, e.Samples/e.Replicates), "0 < p < 1 and 5 samples on either side of it"}
	}
	scratch := make([]float64, e.Samples)
	value := sampleQuantile(scratch, e.y[i], p)
	var squares float64
	for r := range e.Replicates {
		d := sampleQuantile(scratch, e.replicate(i, r), p) - value
		squares += d * d
	}
	if sum := value + squares; sum-sum != 0 {
		return Figure{}, fmt.Errorf("stackup: %s: quantile %g: %w", e.wanted[i].Name, p, fault.ErrNotFinite)
	}
	n := float64(e.Replicates)
	return figure(value, math.Sqrt(squares/n/(n-1)), n-1), nil
}
