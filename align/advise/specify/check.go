package specify

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync/atomic"

	"gonum.org/v1/gonum/stat/distuv"

	"example.com/borestack/align"
	"example.com/borestack/stackup"
)

// How many boxes are drawn for a yield: all are kept, a few hundred bytes each.
const (
	usualSamples = 20000
	mostSamples  = 1000000
)

// samples is how many boxes are drawn for a yield.
func (a *Ask) samples() int { return cmp.Or(a.Samples, usualSamples) }

// boxes are drawn boxes: the same deviations in shares of their zones, whatever the zones are.
type boxes struct {
	r     *responses
	share [][]float64 // components, of each zone's radius: normal, and none outside
	men   []*worker

	// The greatest of all responses, in shares of what the drawn box has left, when each box was last
	// evaluated or guessed, and the zones then.
	last  []float64
	then  [][]float64
	known []bool // by evaluation
}

// A worker takes a block of boxes at once; a search looks after so many, on any number of workers.
const block, look = 64, 512

// worker evaluates boxes.
type worker struct {
	groups []*align.Evaluator
	dst    [][][]float64 // by group and output
	x      [][]float64
}

// draw draws boxes: deviations normal with a third of the radius, none outside the zone.
func (a *Ask) draw(r *responses) *boxes {
	n := a.samples()
	b := &boxes{r: r, share: columns(r.n, n), last: make([]float64, n), then: make([][]float64, n), known: make([]bool, n)}
	none := make([]float64, r.n/2)
	rng := rand.New(rand.NewPCG(a.Seed, 7))
	for i := range n {
		b.last[i], b.then[i] = -1, none
		for k := 0; k < r.n; {
			u, v := rng.NormFloat64()/sigmas, rng.NormFloat64()/sigmas
			if math.Hypot(u, v) <= 1 {
				b.share[k][i], b.share[k+1][i] = u, v
				k += 2
			}
		}
	}
	for range min(runtime.GOMAXPROCS(0), (n+block-1)/block) {
		w := &worker{x: columns(r.n, block)}
		for _, g := range r.groups {
			w.groups = append(w.groups, g.plan.NewEvaluator())
			w.dst = append(w.dst, columns(g.outputs, block))
		}
		b.men = append(b.men, w)
	}
	return b
}

// evaluate brings the boxes named up to date. Each is evaluated for itself, whoever takes it.
func (b *boxes) evaluate(ctx context.Context, which []int, radius []float64) error {
	radius = slices.Clone(radius)
	var hired atomic.Int64
	worker := func() func(part int) (struct{}, error) {
		w := b.men[hired.Add(1)-1]
		return func(part int) (struct{}, error) {
			return struct{}{}, b.take(w, which[part*block:min((part+1)*block, len(which))], radius)
		}
	}
	parts := stackup.Parts{N: (len(which) + block - 1) / block, Each: block, Samples: len(which)}
	_, err := stackup.Blocks(ctx, stackup.Settings{Workers: len(b.men)}, parts, worker, func(int, struct{}) {})
	return err
}

// take has a worker evaluate boxes.
func (b *boxes) take(w *worker, which []int, radius []float64) error {
	for i, box := range which {
		for c := range w.x {
			w.x[c][i] = radius[c/2] * b.share[c][box]
		}
		b.last[box], b.then[box], b.known[box] = math.Inf(-1), radius, true
	}
	for g, e := range w.groups {
		if err := e.Evaluate(w.dst[g], w.x, len(which)); err != nil {
			return err
		}
	}
	for k := range b.r.list {
		q := &b.r.list[k]
		for i, v := range w.dst[q.group][q.output][:len(which)] {
			b.last[which[i]] = max(b.last[which[i]], q.beyond(v)/q.scale)
		}
	}
	return nil
}

// count evaluates all boxes and counts those that hold every limit.
//
// Source: the interval is that of C. J. Clopper and E. S. Pearson, Biometrika 26 (1934).
func (b *boxes) count(ctx context.Context, radius []float64) (Share, error) {
	var old []int
	for i, then := range b.then {
		if !b.known[i] || !slices.Equal(then, radius) {
			old = append(old, i)
		}
	}
	if err := b.evaluate(ctx, old, radius); err != nil {
		return Share{}, err
	}
	n, good := len(b.last), 0
	for _, v := range b.last {
		if v <= 0 {
			good++
		}
	}
	s := Share{Value: float64(good) / float64(n), Low: lowest(good, n), High: 1, Boxes: n}
	if good < n {
		s.High = distuv.Beta{Alpha: float64(good + 1), Beta: float64(n - good)}.Quantile(1 - tail)
	}
	return s, nil
}

// doubt is how much more than planes say of a box it may take, in shares of what the drawn box has left, and
// still be looked at in a search: planes are tight near the worst, and many supports have many.
const doubt = 0.35

// guess puts boxes down as what planes say of them and doubt, as if they had been evaluated: a response as
// it is at its top, less what the deviations there take, and what the box's take in whichever direction.
func (b *boxes) guess(planes []plane, radius []float64) {
	for i := range b.last {
		b.last[i], b.then[i], b.known[i] = math.Inf(-1), radius, false
		for k := range planes {
			p, x, y := &planes[k], 0.0, 0.0
			v := p.value
			for k, rise := range p.top.rise {
				px, py, u, w := p.at[2*k], p.at[2*k+1], radius[k]*b.share[2*k][i], radius[k]*b.share[2*k+1][i]
				if size := math.Hypot(px, py); size > 0 {
					v -= rise * size
					x += rise * (px*u + py*w) / size
					y += rise * (px*w - py*u) / size
				}
			}
			b.last[i] = max(b.last[i], (v+math.Hypot(x, y))/b.r.list[p.of].scale+doubt)
		}
	}
}

// safety is how much steeper than any rise that was seen a response is taken to be between two zones.
const safety = 1.5

// hold says whether the lower end of the interval reaches a yield, for a search: boxes are evaluated the
// likeliest to fail first, and those not at all that were good at other zones by more than the way to these
// can rise. What is found has to be counted.
func (b *boxes) hold(ctx context.Context, radius []float64, yield float64) (bool, error) {
	most := make([]float64, len(b.last)) // what each can be at most
	for i := range most {
		most[i] = b.last[i]
		for k, r := range radius {
			if d := math.Abs(r - b.then[i][k]); d > 0 {
				most[i] += safety * b.r.steep[k] * d * math.Hypot(b.share[2*k][i], b.share[2*k+1][i])
			}
		}
	}
	failed := 0
	for which := range slices.Chunk(downwards(most), look) {
		if most[which[0]] <= 0 {
			break
		}
		if err := b.evaluate(ctx, which, radius); err != nil {
			return false, err
		}
		for _, i := range which {
			if b.last[i] > 0 {
				failed++
			}
		}
		if lowest(len(most)-failed, len(most)) < yield {
			return false, nil
		}
	}
	return true, nil
}

// tail is the share that each end of an interval leaves out.
const tail = 0.025

// lowest is the lower end of the interval of a share of which so many of n were good.
func lowest(good, n int) float64 {
	if good == 0 {
		return 0
	}
	return distuv.Beta{Alpha: float64(good), Beta: float64(n - good + 1)}.Quantile(tail)
}
