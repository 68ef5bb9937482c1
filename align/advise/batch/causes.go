package batch

import (
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/spatial/r2"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// Kind is where a deviation that parts have in common comes from.
type Kind uint8

// The kinds of causes.
const (
	// FromPart keeps its clock position on the part, however it lay: a casting, a pattern, or, where all
	// parts lay alike, the fixture.
	FromPart Kind = iota
	// FromFixture keeps its clock position in the fixture and turns on the part as the part is laid in.
	FromFixture
	// Drift moves steadily from the first part to the last: wear, warming.
	Drift
	// Between is a difference between the values of a label: clampings, sides, machines, suppliers.
	Between
	// Mixed is a batch that falls into two kinds for no reason that a label tells.
	Mixed
)

// Cause is one thing that the parts have in common beyond their scatter.
type Cause struct {
	Kind  Kind
	Label string // Between: which label

	// Vector is what it adds: the constant of FromPart (on the part) and FromFixture (in the fixture), what
	// Drift adds from first to last, what Mixed or Between with two values has between them.
	Vector align.Vec2
	// Radius is that of the circle about Vector that holds its 95 % confidence region; +Inf: not known.
	Radius tolerance.Length
	// Means are those of each value of a label, about the mean of all; nil for the other kinds.
	Means []LabelMean
	// Chance is the probability that scatter alone does as much, were this the only question asked.
	Chance float64
}

// LabelMean is the mean vector of the parts with one value of a label.
type LabelMean struct {
	Value string
	Parts int
	Mean  align.Vec2
}

// Level is the chance at most that any cause is named in a batch that has none, shared by all questions: a
// little less than one in twenty, which is promised.
const Level = 0.046

// What is to be told, in standard deviations of the scatter: every question gets so much of the level that
// such deviations are told as often as can be, all taken together. Larger ones are told more surely.
//
// Source: common practice, no published source.
const (
	constantOff = 1.0 // on the part or in the fixture
	driftOver   = 2.0 // from the first part to the last
	valuesApart = 1.0 // of a label
	kindsApart  = 2.0 // without a label
)

// candidate is one explanation that is tried.
type candidate struct {
	kind       Kind
	label      string
	values     []string
	regressors [][]float64
	given      [][]float64
	frame      []float64 // the angles by which vectors are turned before the test; nil: none

	// plain is how plainly what is to be told shows: twice the mean of its log-likelihood ratio.
	plain float64
}

// plainest is as plain as a question is taken to be: so plain it is told in 97 of 100 at a level of 0.002, and one
// that had less of the level because its batch is large would miss what is smaller and stands out all the same.
const plainest = 30

// levelTol is to what the threshold of the levels is found: no chance changes by more.
const levelTol = 1e-9

// levels are the chances below which scatter is no answer to questions, together Level: a likelihood ratio of
// what is to be told, in a known direction, that is the same for all.
//
// Source: hand calculation: ln of the ratio is √λ z − λ/2 with z standard normal, and two components beyond z
// have a chance of exp(−z²/2); that one threshold tells most is the lemma of J. Neyman and E. S. Pearson,
// Philosophical Transactions of the Royal Society A 231 (1933).
func levels(of []candidate) []float64 {
	out := make([]float64, len(of))
	for low, high := 0.0, 1000.0; high-low > levelTol; {
		mid, sum := (low+high)/2, 0.0
		for i := range of {
			root := math.Sqrt(min(of[i].plain, plainest))
			z := mid/root + root/2
			out[i] = math.Exp(-z * z / 2)
			sum += out[i]
		}
		if sum > Level {
			low = mid
		} else {
			high = mid
		}
	}
	return out
}

// causes finds what the parts have in common, one after the other: the explanation whose chance is least
// beside its level, as long as it is less; then the same of what it leaves, at half the level, so that a batch
// with one cause is rarely told of two. Each takes the mean out first where its own question is not the mean.
//
// Source: the order of steps is common practice (forward selection); that the levels add up to the whole at
// most is Bonferroni's inequality.
//
// dof are the degrees of freedom that are left of each component's scatter about its mean.
func (b *Batch) causes() (found []Cause, left []r2.Vec, dof int) {
	left, known := b.vectors(), b.spread()
	dof = len(left) - 1
	open := b.candidates()
	level := levels(open)
	mixed := false
	for part := 1.0; ; part /= 2 {
		best, least, chance := -1, math.Log(part), 0.0
		for i := range open {
			p := open[i].chance(left, dof, known)
			if beside := p - math.Log(level[i]); beside < least {
				best, least, chance = i, beside, math.Exp(p)
			}
		}
		if best < 0 {
			if mixed {
				left = oneKind(left, dof, b.spread())
			}
			return found, left, dof
		}
		c := &open[best]
		var cause Cause
		if c.kind == Mixed {
			cause = twoKinds(left, dof, known)
			mixed, known = true, 0 // what is left scatters as two kinds do
		} else {
			var taken int
			if cause, left, taken = c.explain(left, dof); c.kind != FromPart { // which is the mean
				dof -= taken
			}
		}
		cause.Chance = chance
		found = append(found, cause)
		open, level = slices.Delete(open, best, best+1), slices.Delete(level, best, best+1)
	}
}

// chance is ln of the probability that scatter alone does as much.
func (c *candidate) chance(v []r2.Vec, dof int, known float64) float64 {
	switch {
	case c.kind == Mixed:
		s, _, _ := scatterAbout(v, ones(len(v)))
		return longScatter(s, dof, known)
	case max(len(c.values), 2) > dof-2:
		return 0 // nothing would be left to tell it from scatter
	}
	return chanceOf(c.turn(v, 1), c.given, c.regressors, known)
}

// candidates are the explanations that the batch allows, in a fixed order.
func (b *Batch) candidates() []candidate {
	n := len(b.Pieces)
	all := float64(n)
	// What adds squares to sums of squares; where the covariance is not known the batch's own takes them in.
	plain := func(squares float64) float64 {
		if b.spread() == 0 {
			return all * math.Log1p(squares/all)
		}
		return squares
	}
	one := [][]float64{ones(n)}
	off := plain(constantOff * constantOff * all)
	out := []candidate{{kind: FromPart, regressors: one, plain: off}}
	if frame, ok := b.lays(); ok {
		out = append(out, candidate{kind: FromFixture, regressors: one, frame: frame, plain: off})
	}
	order := make([]float64, n)
	for i := range order {
		order[i] = float64(i)/(all-1) - 0.5
	}
	out = append(out, candidate{kind: Drift, given: one, regressors: [][]float64{order}, plain: plain(driftOver * driftOver * floats.Dot(order, order))})
	labels, _ := b.labels()
	for _, name := range slices.Sorted(maps.Keys(labels)) {
		c := candidate{kind: Between, label: name, values: labels[name], given: one}
		among := all // of two values 2 n₁ n₂ / n is left
		for _, value := range labels[name] {
			with := b.carrying(name, value)
			c.regressors = append(c.regressors, with)
			among -= math.Pow(floats.Dot(with, with), 2) / all
		}
		c.plain = plain(valuesApart * valuesApart * among / 2)
		out = append(out, c)
	}
	if n >= 3*fewest { // fewer show no shape
		// Two kinds, half each, d apart make the variance along one line 1 + d²/4 times as large.
		const more = kindsApart * kindsApart / 4
		c := candidate{kind: Mixed, plain: all * (more - math.Log1p(more))}
		if b.spread() == 0 { // and only its shape tells
			c.plain = all * (2*math.Log1p(more/2.0) - math.Log1p(more))
		}
		out = append(out, c)
	}
	return out
}

// carrying is 1 for the pieces with that value of a label.
func (b *Batch) carrying(name, value string) []float64 {
	out := make([]float64, len(b.Pieces))
	for i, p := range b.Pieces {
		if p.Labels[name] == value {
			out[i] = 1
		}
	}
	return out
}

// lays are the angles at which the parts lay, where all are known and they differ enough for what comes
// from the fixture to be told from what comes from the part: otherwise both have one mean.
func (b *Batch) lays() (angles []float64, differ bool) {
	var c, s float64
	for _, p := range b.Pieces {
		if !p.Lay.Given {
			return nil, false
		}
		a := float64(p.Lay.Value)
		angles = append(angles, a)
		c += math.Cos(a)
		s += math.Sin(a)
	}
	return angles, math.Hypot(c, s) < mostAlike*float64(len(angles))
}

// mostAlike is the length of the mean of the lays' unit vectors above which parts lay so much alike that a
// fixture's constant has nine tenths of its size on the part too.
const mostAlike = 0.9

// turn brings vectors to the frame of the question, or back.
func (c *candidate) turn(v []r2.Vec, sign float64) []r2.Vec {
	if c.frame == nil {
		return v
	}
	out := make([]r2.Vec, len(v))
	for i := range v {
		out[i] = turned(v[i], sign*c.frame[i])
	}
	return out
}

// explain says what the cause adds, what is left without it, and how many degrees of freedom it takes of those
// that are left about the mean.
func (c *candidate) explain(v []r2.Vec, dof int) (out Cause, rest []r2.Vec, taken int) {
	in := c.turn(v, 1)
	_, without, before := scatterAbout(in, c.given...)
	scatter, fit, rank := scatterAbout(in, append(c.given[:len(c.given):len(c.given)], c.regressors...)...)
	left := make([]r2.Vec, len(in))
	effect := make([]r2.Vec, len(in))
	for i := range in {
		effect[i] = r2.Sub(fit[i], without[i])
		left[i] = r2.Sub(in[i], effect[i])
	}
	out = Cause{Kind: c.kind, Label: c.label}
	n := float64(len(in))
	free := dof - (rank - 1) // one is the mean's, or the constant itself
	var share float64        // variance of the vector, in variances of one piece
	switch c.kind {
	case Drift:
		out.Vector = public(r2.Sub(effect[len(effect)-1], effect[0]))
		q := c.regressors[0]
		share = 1 / floats.Dot(q, q)
	case Between:
		for k, value := range c.values {
			m := LabelMean{Value: value}
			for i := range effect {
				if c.regressors[k][i] == 1 {
					m.Parts++
					m.Mean = public(effect[i])
				}
			}
			out.Means = append(out.Means, m)
		}
		if k := len(out.Means); k == 2 {
			a, b := out.Means[0], out.Means[1]
			out.Vector = align.Vec2{X: b.Mean.X - a.Mean.X, Y: b.Mean.Y - a.Mean.Y}
			share = 1/float64(a.Parts) + 1/float64(b.Parts)
		}
	default:
		out.Vector, share = public(effect[0]), 1/n
	}
	out.Radius = tolerance.Length(regionRadius(scatter, float64(free), share))
	return out, c.turn(left, -1), rank - before
}
