package stackup

import (
	"context"
	"fmt"
	"math"
	"sort"

	"example.com/borestack/stackup/law"
)

// Learnt is what is known of a study after observations, by weighted samples. It is made by [Study.Learn].
type Learnt struct {
	Samples   int
	Effective float64     // how many unweighted samples would be worth as much
	Inputs    []Posterior // of every column of the model, in order
	Wanted    []Posterior
	Doubt     string // why the errors may be too small; empty: no sign of it

	y         [][]float64 // wanted number, sample
	logWeight []float64
}

// Posterior is what is known of one deviation or wanted number.
type Posterior struct {
	Name     string
	Axis     int // 0; of a plane law, 0 for x and 1 for y
	Mean, SD Figure
	Yield    Figure // of a wanted number: the chance that it is within limits
}

// fewestBlocks is how many blocks the errors of weighted samples need.
const fewestBlocks = 16

// Learn weighs samples of the study by how likely they make the readings, whose uncertainties must be above 0, and returns what is known then of the deviations and the wanted numbers, whatever the model and the laws. Four samples in five are drawn from a normal law about the likeliest deviations, found by the model's slopes, and the weights take that back; so that sharp readings do not leave only a few samples with weight. A sample whose observed output is not finite has no weight. At least 16,384 samples are needed; the errors come from leaving out one block at a time.
//
// When the model is linear and the laws normal, [Linear.Learn] is exact.
//
// Source: Robert and Casella, Monte Carlo Statistical Methods, 2nd ed., Springer 2004, 3.3 (self-normalised importance sampling); Kong, Liu and Wong, Sequential imputations and Bayesian missing data problems, J. Am. Stat. Assoc. 89 (1994) (effective samples).
func (s *Study) Learn(ctx context.Context, readings []Observation, set Settings) (*Learnt, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	if err := set.whole(fewestBlocks * BlockSize); err != nil {
		return nil, err
	}
	for k := range readings {
		o := &readings[k]
		if err := o.check(s.Model.Outputs(), k); err != nil {
			return nil, err
		}
		if o.Uncertainty == 0 {
			return nil, &InputError{fmt.Sprintf("observation %d", k), "an exact reading", "an uncertainty above 0, to weigh samples by"}
		}
	}
	near, err := newPathfinder(s, nil).near(readings)
	if err != nil {
		return nil, err
	}
	blocks := (set.Samples + BlockSize - 1) / BlockSize
	out := &Learnt{Samples: set.Samples, y: columns(len(s.Wanted), set.Samples), logWeight: make([]float64, set.Samples)}
	sums := make([]weighed, blocks)
	err = sweep(ctx, &set, blocks, BlockSize, func() *weigher { return newWeigher(s, near, readings) }, func(w *weigher, block int) error {
		w.begin(set.Seed, block)
		sums[block] = newWeighed(len(w.x), len(s.Wanted))
		for at := block * BlockSize; at < min((block+1)*BlockSize, set.Samples); at += batch {
			if err := w.run(out, &sums[block], at, min(batch, set.Samples-at)); err != nil {
				return blame(err, w.x, at)
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	if err := out.conclude(s, sums); err != nil {
		return nil, err
	}
	return out, nil
}

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
	u, e      []float64
	z, x, y   [][]float64
}

func newWeigher(s *Study, near *gaussian, readings []Observation) *weigher {
	w := &weigher{study: s, near: near, readings: readings, evaluator: s.Model.NewEvaluator(), space: newSpace(s.Inputs), streams: make([]law.Stream, len(s.Inputs))}
	for i := range s.Inputs {
		w.names = append(w.names, s.Inputs[i].Name+"/learn")
	}
	w.u, w.e = make([]float64, batch), make([]float64, w.space.numbers)
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
		if p.number < 0 {
			p.input.Plane.Draw(w.x[p.column], w.x[p.column+1], &w.streams[i])
			continue
		}
		for c := p.number; c < p.number+p.input.columns(); c++ {
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
	w.space.fill(w.x, w.z)
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
		copy(out.y[k][at:], w.y[wanted[k].Of][:n])
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
			o.add(v, w.y[wanted[k].Of][i])
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

// conclude works out the figures.
func (t *Learnt) conclude(s *Study, sums []weighed) error {
	top := math.Inf(-1)
	for b := range sums {
		top = math.Max(top, sums[b].top)
	}
	if math.IsInf(top, -1) {
		return fmt.Errorf("stackup: the observations have no chance in any of %d samples: %w", t.Samples, ErrNotFinite)
	}
	all := newWeighed(len(sums[0].of), 0)
	all.top = top
	for b := range sums {
		sums[b].raise(top)
		all.w += sums[b].w
		all.ww += sums[b].ww
		for i := range all.of {
			all.of[i].v += sums[b].of[i].v
			all.of[i].vv += sums[b].of[i].vv
			all.of[i].good += sums[b].of[i].good
		}
	}
	t.Effective = all.w * all.w / all.ww
	const fewest = 200
	if t.Effective < fewest {
		t.Doubt = fmt.Sprintf("the weights leave %.0f effective samples", t.Effective)
	}
	c := 0
	for i := range s.Inputs {
		for axis := range s.Inputs[i].columns() {
			p := posterior(&all, sums, c)
			p.Name, p.Axis, p.Yield = s.Inputs[i].Name, axis, Figure{}
			t.Inputs = append(t.Inputs, p)
			c++
		}
	}
	for k := range s.Wanted {
		p := posterior(&all, sums, c+k)
		p.Name = s.Wanted[k].Name
		t.Wanted = append(t.Wanted, p)
	}
	return nil
}

// posterior are the figures of one column of the sums, with the errors of leaving out one block.
func posterior(all *weighed, sums []weighed, c int) Posterior {
	figures := func(w float64, o weighedSums) [3]float64 {
		mean := o.v / w
		return [3]float64{mean, math.Sqrt(math.Max(o.vv/w-mean*mean, 0)), o.good / w}
	}
	without := columns(3, len(sums))
	for b := range sums {
		a, o := all.of[c], &sums[b].of[c]
		f := figures(all.w-sums[b].w, weighedSums{a.v - o.v, a.vv - o.vv, a.good - o.good})
		for k := range f {
			without[k][b] = f[k]
		}
	}
	whole := figures(all.w, all.of[c])
	dof := float64(len(sums) - 1)
	return Posterior{
		Mean: figure(whole[0], jackknife(without[0]), dof), SD: figure(whole[1], jackknife(without[1]), dof), Yield: figure(whole[2], jackknife(without[2]), dof),
	}
}

// Quantile returns the value of wanted number i below which it is with chance p. It panics if there is none of that number, and returns NaN when p is not within 0 and 1.
func (t *Learnt) Quantile(i int, p float64) float64 {
	if !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	order := make([]int, len(t.logWeight))
	top := math.Inf(-1)
	for k, l := range t.logWeight {
		order[k] = k
		top = math.Max(top, l)
	}
	y := t.y[i]
	sort.Slice(order, func(a, b int) bool { return y[order[a]] < y[order[b]] })
	var all float64
	for _, k := range order {
		all += math.Exp(t.logWeight[k] - top)
	}
	var sum float64
	last := math.NaN()
	for _, k := range order {
		if w := math.Exp(t.logWeight[k] - top); w > 0 {
			sum += w
			last = y[k]
			if sum >= p*all {
				break
			}
		}
	}
	return last
}
