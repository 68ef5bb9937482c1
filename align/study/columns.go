package study

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"example.com/borestack/align"
	"example.com/borestack/stackup/law"
)

// gauge is all that makes the readings of one box uncertain, as independent columns of deviations.
type gauge struct {
	columns []column
	drawn   []drawn
	normal  bool // every column has a normal distribution
}

// column is one cause of error, or one axis of a pair.
type column struct {
	source   align.Source
	mean, sd float64 // of the deviation; a stated shift is a mean
	parts    []part  // which of the sources it was made of it carries
}

// part is how much of a column's standard deviation belongs to one standard deviation of a source.
type part struct {
	source int
	share  float64
}

// drawn is how one column, or the two of a pair, are drawn. Without a distribution it is normal.
type drawn struct {
	name  string
	first int
	law   law.Law
	joint law.Joint
}

// gaugeOf lays out the readings' errors, round by round, and then the inputs that a record says vary
// because of the gauge. Unless whole is set, the readings of a round are folded.
func gaugeOf(sources []GaugeSource, v varies, whole bool) *gauge {
	g := &gauge{normal: true}
	for i := 0; i < len(sources); {
		n := i + 1
		for n < len(sources) && sources[n].Set == sources[i].Set {
			n++
		}
		if whole || sources[i].fit == nil {
			for k := i; k < n; k++ {
				g.add(sources[k].Set+": "+sources[k].Key, column{sources[k].Source, 0, sources[k].Standard, []part{{k, 1}}})
			}
		} else {
			g.fold(sources[i:n], i)
		}
		i = n
	}
	c := 0
	for i := range v.inputs {
		in := &v.inputs[i]
		d := drawn{name: in.Name, first: len(g.columns), law: in.Law, joint: in.Joint}
		if in.Joint != nil {
			for k := range 2 {
				g.columns = append(g.columns, column{source: v.sources[c+k], mean: in.Joint.Mean(k), sd: math.Sqrt(in.Joint.Covariance(k, k))})
			}
			p, independent := in.Joint.(law.Independent)
			g.normal = g.normal && independent && law.IsNormal(p[0]) && law.IsNormal(p[1])
			c += 2
		} else {
			m := in.Law.Moments()
			g.columns = append(g.columns, column{source: v.sources[c], mean: m.Mean, sd: m.SD()})
			g.normal = g.normal && law.IsNormal(in.Law)
			c++
		}
		g.drawn = append(g.drawn, d)
	}
	return g
}

// add appends a column of normal law.
func (g *gauge) add(name string, c column) {
	g.drawn = append(g.drawn, drawn{name: name, first: len(g.columns)})
	g.columns = append(g.columns, c)
}

// foldedTo is the share of a round's variance below which a direction of what is fitted counts as
// none: rounding of the eigenvalues, which are good to about 1e-16.
const foldedTo = 1e-14

// fold joins the readings of one round. A stack feels them through the mean and first harmonic that
// are fitted to them alone, so that three independent columns, the principal directions of the
// covariance of those three numbers, stand for any number of readings: the same distribution, in a
// quarter of
// the evaluations.
//
// Source: JCGM 102:2011, 6.2 (covariance of a linear multivariate result); the directions are those
// of its spectral decomposition.
func (g *gauge) fold(round []GaugeSource, first int) {
	c := mat.NewSymDense(3, nil)
	for i := range round {
		v := round[i].Standard * round[i].Standard
		for a := range 3 {
			for b := a; b < 3; b++ {
				c.SetSym(a, b, c.At(a, b)+v*round[i].fit[a]*round[i].fit[b])
			}
		}
	}
	values, vec, found := principal(c)
	if !found {
		for i := range round {
			g.add(round[i].Set+": "+round[i].Key, column{round[i].Source, 0, round[i].Standard, []part{{first + i, 1}}})
		}
		return
	}
	for n, v := range values {
		if !(v > foldedTo*values[2]) {
			continue
		}
		to := column{source: align.Source{Name: round[0].Set}, sd: 1}
		for i := range round {
			q := &round[i]
			along := q.fit[0]*vec.At(0, n) + q.fit[1]*vec.At(1, n) + q.fit[2]*vec.At(2, n)
			if along == 0 { // a station square to this direction has no say in it
				continue
			}
			to.parts = append(to.parts, part{first + i, q.Standard * along / math.Sqrt(v)})
			for _, m := range q.Moves {
				if gain := m.Gain * q.Standard * q.Standard * along / math.Sqrt(v); gain != 0 {
					to.source.Moves = append(to.source.Moves, align.Move{Of: m.Of, Gain: gain})
				}
			}
		}
		g.add(fmt.Sprintf("%s: direction %d", round[0].Set, n), to)
	}
}

// principal are the principal directions of a covariance, in columns, and the variance along each.
func principal(c *mat.SymDense) (values []float64, directions mat.Dense, found bool) {
	var e mat.EigenSym
	if !e.Factorize(c, true) {
		return nil, directions, false
	}
	e.VectorsTo(&directions)
	return e.Values(nil), directions, true
}

// rows are n samples of the columns at their means.
func (g *gauge) rows(n int) [][]float64 {
	x := columnsOf(len(g.columns), n)
	for c := range x {
		for i := range x[c] {
			x[c][i] = g.columns[c].mean
		}
	}
	return x
}

// nudges are the means, and then each column of some one standard deviation up and down.
func (g *gauge) nudges(from, to int) [][]float64 {
	x := g.rows(2*(to-from) + 1)
	for c := from; c < to; c++ {
		x[c][2*(c-from)+1] += g.columns[c].sd
		x[c][2*(c-from)+2] -= g.columns[c].sd
	}
	return x
}

// drawSeed starts the draws that decide verdicts: the same box has the same verdict.
const drawSeed = 95

// draws are n samples from the columns' distributions, spread about their means by a factor. Batches of one
// number are the same whatever was drawn before.
func (g *gauge) draws(batch uint64, n int, spread float64) [][]float64 {
	x := g.rows(n)
	a, b := make([]float64, n), make([]float64, n)
	for i := range g.drawn {
		d := &g.drawn[i]
		s := law.NewStream(drawSeed, d.name, batch)
		put := func(column int, v []float64, mean, sd float64) {
			c := &g.columns[column]
			for k := range v {
				x[column][k] = c.mean + spread*(mean+sd*v[k]-c.mean)
			}
		}
		switch {
		case d.joint != nil:
			d.joint.Draw([][]float64{a, b}, nil, &s)
			put(d.first, a, 0, 1)
			put(d.first+1, b, 0, 1)
		case d.law != nil:
			d.law.Draw(a, &s)
			put(d.first, a, 0, 1)
		default:
			s.Normals(a)
			c := &g.columns[d.first]
			put(d.first, a, c.mean, c.sd)
		}
	}
	return x
}

// shifted reports whether some deviation has a mean: a gauge that reads too much or too little, which
// the verdict corrects for.
func (g *gauge) shifted() bool {
	for i := range g.columns {
		if g.columns[i].mean != 0 && len(g.columns[i].source.Moves) > 0 {
			return true
		}
	}
	return false
}

// sources are what the columns move.
func (g *gauge) sources() []align.Source {
	var out []align.Source
	for i := range g.columns {
		out = append(out, g.columns[i].source)
	}
	return out
}
