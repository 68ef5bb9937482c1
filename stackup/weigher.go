package stackup

import (
	"math"

	"example.com/borestack/stackup/law"
)

// weighed are sums over one block of weights exp(logWeight − top) and of what they weigh.
type weighed struct {
	top, w, ww float64
	of         []weighedSums // columns, then wanted numbers
}

type weighedSums struct{ v, vv, good float64 }

func newWeighed(columns, wanted int) weighed {
	return weighed{top: math.Inf(-1), of: make([]weighedSums, columns+wanted)}
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

// weigher is the memory of one worker.
type weigher struct {
	study     *Study
	near      *gaussian
	readings  []Observation
	evaluator Evaluator
	space     *space
	names     []string
	streams   []law.Stream
	chance    law.Stream
	centres   []float64 // taken off the wanted numbers in sums
	u, e      []float64
	z, x, y   [][]float64
	work      []float64
}

func newWeigher(s *Study, near *gaussian, readings []Observation, centres []float64) *weigher {
	w := &weigher{study: s, near: near, readings: readings, evaluator: newEvaluator(s.Model), space: newSpace(s.Inputs), streams: make([]law.Stream, len(s.Inputs)), centres: centres}
	for i := range s.Inputs {
		w.names = append(w.names, s.Inputs[i].Name+"/learn")
	}
	w.u, w.work, w.e = make([]float64, batch), make([]float64, batch), make([]float64, w.space.numbers)
	w.z, w.x, w.y = columns(w.space.numbers, batch), columns(s.Model.Inputs(), batch), columns(s.Model.Outputs(), batch)
	return w
}

func (w *weigher) begin(seed uint64, block int) {
	for i := range w.streams {
		w.streams[i] = law.NewStream(seed, w.names[i], uint64(block))
	}
	w.chance = law.NewStream(seed, "/learn", uint64(block))
}

// draw fills the columns.
func (w *weigher) draw() {
	for i := range w.space.places {
		p := &w.space.places[i]
		if p.of == nil {
			p.draw(w.x, w.work, w.streams[i:i+1])
			continue
		}
		for c := p.number; c < p.number+p.numbers; c++ {
			w.streams[i].Normals(w.z[c])
		}
	}
	if w.near != nil {
		w.chance.Uniforms(w.u)
		for i, u := range w.u {
			if u >= priorShare {
				w.near.draw(w.z, i, w.e)
			}
		}
	}
	w.space.fill(w.x, w.z, batch)
}

// logWeight of row i.
func (w *weigher) logWeight(i int) float64 {
	var out float64
	for k := range w.readings {
		o := &w.readings[k]
		d := (o.Value - w.y[o.Output][i]) / o.Uncertainty
		out -= d * d / 2
	}
	if out != out || math.IsInf(out, 0) {
		return math.Inf(-1)
	}
	if w.near != nil {
		out += w.near.logRatio(w.z, i, w.e)
	}
	return out
}

func (w *weigher) run(out *Learnt, to *weighed, at, n int) error {
	w.draw()
	if err := w.evaluator.Evaluate(w.y, w.x, n); err != nil {
		return err
	}
	wanted := w.study.Wanted
	for k := range wanted {
		if err := wanted[k].numbers(w.y, n); err != nil {
			return err
		}
		copy(out.y[k][at:], w.y[wanted[k].Output][:n])
	}
	for i := range n {
		l := w.logWeight(i)
		out.logWeight[at+i] = l
		if math.IsInf(l, -1) {
			continue
		}
		to.raise(l)
		v := math.Exp(l - to.top)
		to.w += v
		to.ww += v * v
		for c := range w.x {
			to.of[c].add(v, w.x[c][i])
		}
		for k := range wanted {
			o := &to.of[len(w.x)+k]
			o.add(v, w.y[wanted[k].Output][i]-w.centres[k])
			if wanted[k].good(w.y, i) {
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
