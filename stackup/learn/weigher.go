package learn

import (
	"context"
	"math"

	"gonum.org/v1/gonum/floats"

	"example.com/borestack/internal/ieee"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
)

// weighed are sums over one block of weights w = exp(logWeight − top) and of what they weigh: Σ w, Σ w², and for
// every column and then response Σ w·v, Σ w·v² and Σ w of those within limits.
type weighed struct {
	top float64
	of  []float64
}

// sumsOf is where the sums of a column or response stand.
func sumsOf(c int) int { return 2 + 3*c }

func newWeighed(columns int) weighed {
	return weighed{math.Inf(-1), make([]float64, sumsOf(columns))}
}

// raise scales the sums to a higher top.
func (a *weighed) raise(top float64) {
	if f := math.Exp(a.top - top); top > a.top {
		a.top = top
		floats.Scale(f, a.of)
		a.of[1] *= f
	}
}

// weigher draws samples near what was observed, and weighs them.
type weigher struct {
	*stackup.Sampler
	study    *stackup.Study
	near     *gaussian
	readings []Observation
	chance   law.Stream
	centres  []float64 // taken off the responses in sums
	u, e     []float64
}

func newWeigher(ctx context.Context, s *stackup.Study, near *gaussian, readings []Observation, centres []float64) *weigher {
	w := &weigher{Sampler: stackup.NewNormalSampler(ctx, s), study: s, near: near, readings: readings, centres: centres}
	w.u, w.e = make([]float64, stackup.BatchSize), make([]float64, len(w.Z))
	return w
}

// block weighs the samples of a block.
func (w *weigher) block(set *stackup.Settings, block int) (weighed, error) {
	w.Begin("/learn", set.Seed, block)
	w.chance = law.NewStream(set.Seed, "/learn", uint64(block))
	to := newWeighed(len(w.X) + len(w.study.Responses))
	from, end := block*stackup.BlockSize, min((block+1)*stackup.BlockSize, set.Samples)
	err := w.Batches(from, end, func(int, int) { w.draw() }, func(_, n int) error { return w.weigh(&to, n) })
	return to, err
}

// draw fills the columns.
func (w *weigher) draw() {
	w.Normals()
	if w.near != nil {
		w.chance.Uniforms(w.u)
		for i, u := range w.u {
			if u >= priorShare {
				w.near.draw(w.Z, i, w.e)
			}
		}
	}
	w.Fill(stackup.BatchSize)
}

// logWeight of row i.
func (w *weigher) logWeight(i int) float64 {
	var out float64
	for k := range w.readings {
		o := &w.readings[k]
		d := (o.Value - w.Y[o.Output][i]) / o.Uncertainty
		out -= d * d / 2
	}
	if !ieee.Finite(out) {
		return math.Inf(-1)
	}
	if w.near != nil {
		out += w.near.logRatio(w.Z, i, w.e)
	}
	return out
}

// weigh adds n samples.
func (w *weigher) weigh(to *weighed, n int) error {
	responses := w.study.Responses
	for k := range responses {
		if err := responses[k].Known(w.Y, n); err != nil {
			return err
		}
	}
	for i := range n {
		l := w.logWeight(i)
		if math.IsInf(l, -1) {
			continue
		}
		to.raise(l)
		v := math.Exp(l - to.top)
		to.of[0] += v
		to.of[1] += v * v
		add := func(c int, y float64) []float64 {
			of := to.of[sumsOf(c):]
			of[0] += v * y
			of[1] += v * y * y
			return of
		}
		for c := range w.X {
			add(c, w.X[c][i])
		}
		for k := range responses {
			of := add(len(w.X)+k, w.Y[responses[k].Output][i]-w.centres[k])
			if responses[k].Good(w.Y, i) {
				of[2] += v
			}
		}
	}
	return nil
}
