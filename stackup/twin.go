package stackup

import (
	"fmt"
	"reflect"
)

// twin is the memory of one worker.
type twin struct {
	study     [2]*Study
	evaluator [2]Evaluator
	x, y      [2][][]float64
	z         [][]float64
	work      []float64
	parts     []shared
}

// shared is one input of either study or both.
type shared struct {
	at     [2]int // first column; −1: the study does not have it
	own    [2]*place
	same   bool
	drawer *drawer // of the law in the study that comes first with it
}

func newTwin(a, b *Study) *twin {
	w := &twin{study: [2]*Study{a, b}}
	spaces := [2]*space{newSpace(a.Inputs), newSpace(b.Inputs)}
	index := map[string]int{}
	for d, s := range w.study {
		w.evaluator[d] = newEvaluator(s.Model)
		w.x[d], w.y[d] = columns(s.Model.Inputs(), batch), columns(s.Model.Outputs(), batch)
		for i := range s.Inputs {
			in := &s.Inputs[i]
			p := &spaces[d].places[i]
			p.number = 0 // the numbers of one input at a time
			k, known := index[in.Name]
			if !known {
				k = len(w.parts)
				index[in.Name] = k
				w.parts = append(w.parts, shared{at: [2]int{-1, -1}, drawer: newDrawer([]Input{*in}, "")})
			}
			w.parts[k].at[d], w.parts[k].own[d] = p.column, p
		}
	}
	for k := range w.parts {
		if p := &w.parts[k]; p.own[0] != nil && p.own[1] != nil {
			p.same = reflect.DeepEqual(*p.own[0].input, *p.own[1].input)
		}
	}
	w.z = columns(max(spaces[0].most(), spaces[1].most()), batch)
	w.work = make([]float64, batch)
	return w
}

func (w *twin) begin(seed uint64, block int) {
	for k := range w.parts {
		w.parts[k].drawer.begin(seed, block)
	}
}

// draw fills the columns of both studies.
func (w *twin) draw() {
	for k := range w.parts {
		p := &w.parts[k]
		stream := &p.drawer.streams[0]
		switch {
		case p.own[0] == nil || p.own[1] == nil:
			d := 0
			if p.own[0] == nil {
				d = 1
			}
			p.drawer.draw(w.x[d][p.at[d]:])
		case p.same:
			n := p.own[0].columns
			p.drawer.draw(w.x[0][p.at[0] : p.at[0]+n])
			for c := range n {
				copy(w.x[1][p.at[1]+c], w.x[0][p.at[0]+c])
			}
		case p.own[0].of == nil || p.own[1].of == nil || p.own[0].numbers != p.own[1].numbers: // the same stream is the best there is
			start := *stream
			for d := range w.x {
				*stream = start
				p.own[d].draw(w.x[d], w.work, p.drawer.streams)
			}
		default:
			for c := range p.own[0].numbers {
				stream.Normals(w.z[c])
			}
			for d := range w.x {
				p.own[d].fill(w.x[d], w.z, batch)
			}
		}
	}
}

// run evaluates n samples from at on.
func (w *twin) run(out *Comparison, counts [][4]int, at, n int) error {
	w.draw()
	for d, s := range w.study {
		if err := w.evaluator[d].Evaluate(w.y[d], w.x[d], n); err != nil {
			return blame(err, w.x[d], at)
		}
		for k := range s.Wanted {
			y := w.y[d][s.Wanted[k].Output][:n]
			copy(out.y[d][k][at:], y)
			for i, v := range y {
				if v != v {
					return blame(&SampleError{Index: i, Err: fmt.Errorf("%s is not a number", s.Wanted[k].Name)}, w.x[d], at)
				}
			}
		}
	}
	for k := range counts {
		for i := range n {
			var which int
			if w.study[0].Wanted[k].good(w.y[0], i) {
				which = 2
			}
			if w.study[1].Wanted[k].good(w.y[1], i) {
				which++
			}
			counts[k][which]++
		}
	}
	return nil
}
