package stackup

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"example.com/borestack/stackup/law"
)

// Rare is the chance that a wanted number fails, found by looking where it does.
type Rare struct {
	Name        string
	Failure     Figure
	Points      []DesignPoint // the likeliest ways to fail, nearest first
	Samples     int
	Evaluations int     // those of the search included
	Largest     float64 // the share of the estimate that rests on its weightiest sample
	Doubt       string  // why failures may have been missed or the error may be too small; empty: no sign of it
}

// ErrNoDesignPoint is wrapped when no deviations within reach were found that fail.
var ErrNoDesignPoint = errors.New("no deviations that fail found")

// usual is the share of samples drawn as the laws say; the others are drawn about the design points. It bounds the weight of a failure by ten and finds failures that the search has missed, if they are not much rarer than those it knows.
const usual = 0.1

// Pilot samples improve the choice of design points before the samples that count.
const (
	pilotRounds  = 5
	pilotStarts  = 8
	pilotWeighty = 3 // a failure this many times as weighty as the average starts a search
)

// RareFailures estimates the chance that wanted number i fails. It searches the design points, the likeliest ways to fail, by steps from the medians and from samples spread wider than they are; draws one sample in ten as the laws say and the rest about those points; and weighs every failure by how likely it is over how often it was drawn, so that the estimate is unbiased wherever the points are. What the search missed shows as samples of great weight: see Doubt; but a way to fail that it missed and that is so rare that one sample in ten, drawn as the laws say, never meets it leaves no sign.
//
// It returns an error that wraps [ErrNoDesignPoint] when nothing fails within twelve standard deviations that the search can reach: the chance is then small, or the model's failures are hidden from it; [Study.Run] says how small at least.
//
// Source: Hasofer and Lind, Exact and invariant second-moment code format, J. Eng. Mech. Div. ASCE 100 (1974); Veach and Guibas, Optimally combining sampling techniques for Monte Carlo rendering, SIGGRAPH 1995 (balance heuristic); Hesterberg, Weighted average importance sampling and defensive mixture distributions, Technometrics 37 (1995).
func (s *Study) RareFailures(ctx context.Context, i int, set Settings) (*Rare, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	if i < 0 || i >= len(s.Wanted) {
		return nil, &InputError{"question", fmt.Sprintf("wanted number %d", i), fmt.Sprintf("one of %d", len(s.Wanted))}
	}
	if len(s.Wanted[i].sides()) == 0 {
		return nil, &InputError{s.Wanted[i].Name, "no limits", "limits that can fail"}
	}
	if err := set.whole(BlockSize); err != nil {
		return nil, err
	}
	a, err := s.aim(ctx, i, set)
	if err != nil {
		return nil, err
	}
	return a.rare(ctx, set)
}

// aimed is a study with the mixture that its failures are sampled from.
type aimed struct {
	study       *Study
	wanted      int
	points      []DesignPoint
	mix         *mixture
	evaluations int
	restless    bool // the last pilot still found new points
	pilot       weights
}

// aim searches design points, and improves on them by pilot samples.
func (s *Study) aim(ctx context.Context, i int, set Settings) (*aimed, error) {
	w := newPathfinder(s, &s.Wanted[i])
	if err := w.look(ctx, set.Seed); err != nil {
		return nil, err
	}
	if len(w.points) == 0 {
		return nil, fmt.Errorf("stackup: %s: %w within %g standard deviations", s.Wanted[i].Name, ErrNoDesignPoint, farthest)
	}
	a := &aimed{study: s, wanted: i}
	set.Progress, set.Samples = nil, BlockSize
	for round := range pilotRounds {
		a.mix = newMixture(w.points)
		found := 0
		one, heavy, err := a.sample(ctx, set, fmt.Sprintf("/pilot%d", round), true)
		if err != nil {
			return nil, err
		}
		w.evaluations += BlockSize
		a.pilot = one
		for _, side := range s.Wanted[i].sides() {
			var starts [][]float64
			for _, h := range heavy {
				if h.side == side {
					starts = append(starts, h.z)
				}
			}
			n, err := w.climbAll(ctx, side, starts)
			if err != nil {
				return nil, err
			}
			found += n
		}
		before := len(w.points)
		w.prune()
		if a.restless = found > before-len(w.points); !a.restless {
			break
		}
	}
	slices.SortStableFunc(w.points, func(p, q DesignPoint) int {
		switch {
		case p.Beta < q.Beta:
			return -1
		case p.Beta > q.Beta:
			return 1
		}
		return 0
	})
	a.points, a.evaluations = w.points, w.evaluations
	a.mix = newMixture(w.points)
	return a, nil
}

// rare draws the samples that count.
func (a *aimed) rare(ctx context.Context, set Settings) (*Rare, error) {
	all, _, err := a.sample(ctx, set, "/rare", false)
	if err != nil {
		return nil, err
	}
	p, e := all.estimate()
	out := &Rare{
		Name: a.study.Wanted[a.wanted].Name, Failure: figure(p, e, math.Inf(1)), Points: a.points,
		Samples: set.Samples, Evaluations: a.evaluations + set.Samples, Largest: all.most / math.Max(all.sum, math.SmallestNonzeroFloat64),
	}
	out.Failure.Interval[0], out.Failure.Interval[1] = math.Max(out.Failure.Interval[0], 0), math.Min(out.Failure.Interval[1], 1)
	const dominant, noticeable, fewest = 0.1, 0.02, 30
	switch {
	case all.failed < fewest:
		out.Doubt = fmt.Sprintf("only %.0f samples failed", all.failed)
	case out.Largest > dominant:
		out.Doubt = fmt.Sprintf("one sample makes %.0f %% of the estimate: a way to fail was missed, or more samples are needed", 100*out.Largest)
	case a.restless && out.Largest > noticeable:
		out.Doubt = fmt.Sprintf("ways to fail were still being found when the search ended at %d", len(a.points))
	}
	return out, nil
}

// weights are sums over samples: of the weights of failures.
type weights struct{ n, failed, sum, squares, most float64 }

func (a *weights) add(b *weights) {
	a.n += b.n
	a.failed += b.failed
	a.sum += b.sum
	a.squares += b.squares
	a.most = math.Max(a.most, b.most)
}

func (a *weights) estimate() (p, standardError float64) {
	p = a.sum / a.n
	return p, math.Sqrt(math.Max(a.squares/a.n-p*p, 0) / (a.n - 1))
}

// mixture is normal numbers about 0 and about each of some points.
type mixture struct {
	shares []float64   // of the points; the rest is about 0
	z      [][]float64 // the points
	half   []float64   // half the squared distance of each
}

// newMixture shares out the samples as the points' chances are, though none gets less than a tenth of the greatest.
func newMixture(points []DesignPoint) *mixture {
	m := &mixture{}
	var most, sum float64
	for i := range points {
		most = math.Max(most, points[i].Probability)
	}
	for i := range points {
		p := &points[i]
		share := 1.0
		if most > 0 {
			share = math.Max(p.Probability/most, 0.1)
		}
		m.shares = append(m.shares, share)
		m.z = append(m.z, p.z)
		m.half = append(m.half, inner(p.z, p.z)/2)
		sum += share
	}
	for i := range m.shares {
		m.shares[i] *= (1 - usual) / sum
	}
	return m
}

// weight is how likely row i is as the laws say, over how likely as the mixture says.
func (m *mixture) weight(z [][]float64, i int) float64 {
	q := usual
	for k, share := range m.shares {
		e := -m.half[k]
		for c, v := range m.z[k] {
			e += v * z[c][i]
		}
		q += share * math.Exp(e)
	}
	return 1 / q
}

// pick is the component that a number in (0, 1) falls to; −1: about 0.
func (m *mixture) pick(u float64) int {
	for k, share := range m.shares {
		if u -= share; u < 0 {
			return k
		}
	}
	return -1
}

// weighty is a failure of great weight.
type weighty struct {
	weight float64
	side   Side
	z      []float64
}

// sample draws samples of the mixture; when asked it returns the weightiest failures, too.
func (a *aimed) sample(ctx context.Context, set Settings, key string, heavy bool) (weights, []weighty, error) {
	blocks := (set.Samples + BlockSize - 1) / BlockSize
	sums := make([]weights, blocks)
	var found []weighty // one block only when heavy
	err := sweep(ctx, &set, blocks, BlockSize, func() *aimer { return newAimer(a, key) }, func(w *aimer, block int) error {
		w.begin(set.Seed, block)
		for at := block * BlockSize; at < min((block+1)*BlockSize, set.Samples); at += batch {
			n := min(batch, set.Samples-at)
			w.draw()
			if err := w.evaluator.Evaluate(w.y, w.x, n); err != nil {
				return blame(err, w.x, at)
			}
			if err := a.study.Wanted[a.wanted].numbers(w.y, n); err != nil {
				return blame(err, w.x, at)
			}
			w.sum(&sums[block], n)
			if heavy {
				found = w.collect(found, n)
			}
		}
		return nil
	})
	var all weights
	for i := range sums {
		all.add(&sums[i])
	}
	if !heavy || err != nil {
		return all, nil, err
	}
	slices.SortStableFunc(found, func(p, q weighty) int {
		switch {
		case p.weight > q.weight:
			return -1
		case p.weight < q.weight:
			return 1
		}
		return 0
	})
	least := pilotWeighty * all.sum / math.Max(all.failed, 1)
	for k := range found {
		if k >= pilotStarts || found[k].weight < least {
			return all, found[:k], nil
		}
	}
	return all, found, nil
}

// aimer is the memory of one worker.
type aimer struct {
	a         *aimed
	evaluator Evaluator
	space     *space
	names     []string
	streams   []law.Stream
	chance    law.Stream
	key       string
	u         []float64
	which     []int
	z, x, y   [][]float64
}

func newAimer(a *aimed, key string) *aimer {
	s := a.study
	w := &aimer{a: a, evaluator: s.Model.NewEvaluator(), space: newSpace(s.Inputs), streams: make([]law.Stream, len(s.Inputs)), key: key}
	for i := range s.Inputs {
		w.names = append(w.names, s.Inputs[i].Name+key)
	}
	w.u, w.which = make([]float64, batch), make([]int, batch)
	w.z, w.x, w.y = columns(w.space.numbers, batch), columns(s.Model.Inputs(), batch), columns(s.Model.Outputs(), batch)
	return w
}

func (w *aimer) begin(seed uint64, block int) {
	for i := range w.streams {
		w.streams[i] = law.NewStream(seed, w.names[i], uint64(block))
	}
	w.chance = law.NewStream(seed, w.key, uint64(block))
}

// draw fills the columns.
func (w *aimer) draw() {
	w.chance.Uniforms(w.u)
	for i, u := range w.u {
		w.which[i] = w.a.mix.pick(u)
	}
	for i := range w.space.places {
		p := &w.space.places[i]
		if p.number < 0 {
			p.input.Plane.Draw(w.x[p.column], w.x[p.column+1], &w.streams[i])
			continue
		}
		for c := p.number; c < p.number+p.input.columns(); c++ {
			w.streams[i].Normals(w.z[c])
			for k, which := range w.which {
				if which >= 0 {
					w.z[c][k] += w.a.mix.z[which][c]
				}
			}
		}
	}
	w.space.fill(w.x, w.z)
}

// sum weighs the failures.
func (w *aimer) sum(to *weights, n int) {
	q := &w.a.study.Wanted[w.a.wanted]
	to.n += float64(n)
	for i := range n {
		if q.good(w.y, i) {
			continue
		}
		v := w.a.mix.weight(w.z, i)
		to.failed++
		to.sum += v
		to.squares += v * v
		to.most = math.Max(to.most, v)
	}
}

// collect lists the failures with their weights.
func (w *aimer) collect(found []weighty, n int) []weighty {
	q := &w.a.study.Wanted[w.a.wanted]
	for i := range n {
		if q.good(w.y, i) {
			continue
		}
		for _, side := range q.sides() {
			if q.room(side, w.y, i) < 0 {
				z := make([]float64, len(w.z))
				for c := range z {
					z[c] = w.z[c][i]
				}
				found = append(found, weighty{w.a.mix.weight(w.z, i), side, z})
				break
			}
		}
	}
	return found
}
