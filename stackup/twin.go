package stackup

import (
	"context"
	"reflect"

	"example.com/borestack/stackup/law"
)

// twin draws two studies by the same streams.
type twin struct {
	study   [2]*Study
	sampler [2]*Sampler
	parts   []shared
}

// shared is one input of either study or both.
type shared struct {
	own    [2]*place // nil: the study does not have it
	same   bool
	stream []law.Stream // the only one
}

func newTwin(ctx context.Context, a, b *Study) *twin {
	w := &twin{study: [2]*Study{a, b}, sampler: [2]*Sampler{NewNormalSampler(ctx, a), NewNormalSampler(ctx, b)}}
	index := map[string]int{}
	for d, s := range w.study {
		for i := range s.Inputs {
			name := s.Inputs[i].Name
			k, known := index[name]
			if !known {
				k = len(w.parts)
				index[name] = k
				w.parts = append(w.parts, shared{stream: make([]law.Stream, 1)})
			}
			w.parts[k].own[d] = &w.sampler[d].places[i]
		}
	}
	for k := range w.parts {
		if p := &w.parts[k]; p.own[0] != nil && p.own[1] != nil {
			p.same = reflect.DeepEqual(*p.own[0].input, *p.own[1].input)
		}
	}
	return w
}

// block works out a block of both.
func (w *twin) block(out *Comparison, set *Settings, block int) (good [][4]int, err error) {
	for k := range w.parts {
		p := &w.parts[k]
		at := p.own[0]
		if at == nil {
			at = p.own[1]
		}
		p.stream[0] = law.NewStream(set.Seed, at.input.Name, uint64(block))
	}
	good = make([][4]int, len(out.wanted))
	first, second := w.sampler[0], w.sampler[1]
	draw := func(int, int) {
		for k := range w.parts {
			w.draw(&w.parts[k])
		}
	}
	err = first.Batches(block*BlockSize, min((block+1)*BlockSize, set.Samples), draw, func(at, n int) error {
		if err := w.keep(out, 0, at, n); err != nil {
			return err
		}
		err := second.evaluator.Evaluate(second.Y, second.X, n)
		if err == nil {
			err = w.keep(out, 1, at, n)
		}
		if err != nil {
			return blame(err, second.X, 0)
		}
		w.count(good, n)
		return nil
	})
	return good, err
}

// draw fills the columns of one input in both studies.
func (w *twin) draw(p *shared) {
	a, b := p.own[0], p.own[1]
	x, work := [2][][]float64{w.sampler[0].X, w.sampler[1].X}, w.sampler[0].work
	switch {
	case b == nil:
		a.draw(x[0], work, p.stream, BatchSize)
	case a == nil:
		b.draw(x[1], work, p.stream, BatchSize)
	case p.same:
		a.draw(x[0], work, p.stream, BatchSize)
		for c := range a.columns {
			copy(x[1][b.column+c], x[0][a.column+c])
		}
	case a.of == nil || b.of == nil || a.numbers != b.numbers: // the same stream is the best there is
		start := p.stream[0]
		a.draw(x[0], work, p.stream, BatchSize)
		p.stream[0] = start
		b.draw(x[1], work, p.stream, BatchSize)
	default:
		z := [2][][]float64{w.sampler[0].Z, w.sampler[1].Z}
		for c := range a.numbers {
			p.stream[0].Normals(z[0][a.number+c])
			copy(z[1][b.number+c], z[0][a.number+c])
		}
		a.fill(x[0], z[0], BatchSize)
		b.fill(x[1], z[1], BatchSize)
	}
}

// keep stores the wanted numbers of study d, n of them from at on.
func (w *twin) keep(out *Comparison, d, at, n int) error {
	for k := range w.study[d].Wanted {
		q := &w.study[d].Wanted[k]
		y := w.sampler[d].Y[q.Output][:n]
		copy(out.y[d][k][at:], y)
		for i, v := range y {
			if v != v {
				return q.notNumber(i)
			}
		}
	}
	return nil
}

// count adds which of n samples are good in which study.
func (w *twin) count(good [][4]int, n int) {
	for k := range good {
		for i := range n {
			var which int
			if w.study[0].Wanted[k].Good(w.sampler[0].Y, i) {
				which = 2
			}
			if w.study[1].Wanted[k].Good(w.sampler[1].Y, i) {
				which++
			}
			good[k][which]++
		}
	}
}
