package learn

import (
	"context"
	"math"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
)

// weighed are sums over one block of weights exp(logWeight − top) and of what they weigh.
type weighed struct {
	top, w, ww float64
	of         []weighedSums // columns, then responses
}

type weighedSums struct{ v, vv, good float64 }

func newWeighed(columns int) weighed {
	return weighed{top: math.Inf(-1), of: make([]weighedSums, columns)}
}

// add adds sums with the same top.
func (a *weighed) add(b *weighed) {
	a.w += b.w
	a.ww += b.ww
	for i, o := range b.of {
		a.of[i].v += o.v
		a.of[i].vv += o.vv
		a.of[i].good += o.good
	}
}

// raise scales the sums to a higher top.
func (a *weighed) raise(top float64) {
	if !(top > a.top) {
		return
	}
	f := math.Exp(a.top - top)
	a.top, a.w, a.ww = top, a.w*f, a.ww*f*f
	for i := range a.of {
		o := &a.of[i]
		*o = weighedSums{o.v * f, o.vv * f, o.good * f}
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
	if out != out || math.IsInf(out, 0) {
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
		to.w += v
		to.ww += v * v
		for c := range w.X {
			to.of[c].add(v, w.X[c][i])
		}
		for k := range responses {
			o := &to.of[len(w.X)+k]
			o.add(v, w.Y[responses[k].Output][i]-w.centres[k])
			if responses[k].Good(w.Y, i) {
				o.good += v
			}
		}
	}
	return nil
}

func (o *weighedSums) add(weight, v float64) {
	o.v += weight * v
	o.vv += weight * v * v
}
