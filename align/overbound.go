package align

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/shaftline"
	"example.com/borestack/align/internal/tol"
)

// A bound of the worst: let the lines follow the floats by a fixed rule, each a weighted
// least-squares fit of the centres. The best lines do no worse wherever the floats are, and how far
// a centre can be from its own line by that rule is a shadow's longest. With the weights for which
// the fit is the best line at the worst floats, those of C. L. Lawson (internal/shaftline), the
// bound is the worst itself wherever no other circle could be farther off by that rule.

// provedTol, in mm of room, is how near a bound must be to the worst for that to be proved: far
// less than anybody can measure, and more than the curvature of an ordinary float.
const provedTol = 5e-5

// Of the bound.
const (
	lightest = 1e-9 // share of the heaviest weight: what holds a line that the others leave free
	bounding = 1e-9 // share of its length to which a shadow's longest is bounded
)

// worstAndBound is the worst over the floats and what it does not exceed, rest being what it is at
// rest.
func (o *over) worstAndBound(by shaftline.Measure, rest float64) (worst, bound float64, err error) {
	worst, bound = rest, rest
	for n := range o.k.lay.groups {
		v, err := o.worstOfGroup(n, by)
		if err != nil {
			return 0, 0, err
		}
		b := v
		if !math.IsInf(v, 0) {
			if b, err = o.boundOfGroup(n, by, v); err != nil {
				return 0, 0, err
			}
			if o.sums[n].many && (b-v)*o.scaleOf(by) > provedTol { // what is not proved is looked for once more
				if v, err = o.worstOfMany(n, by, v); err != nil {
					return 0, 0, err
				}
			}
		}
		worst, bound = math.Max(worst, v), math.Max(bound, math.Max(b, v))
	}
	return worst, bound, nil
}

// boundOfGroup is what the worst of group n over the floats does not exceed, worst being what was
// found, at worstAt.
func (o *over) boundOfGroup(n int, by shaftline.Measure, worst float64) (float64, error) {
	k := o.k
	group := k.lay.groups[n]
	o.aboutRest()
	s := o.listCircuits(n)
	o.now = s
	k.line.Gather(group)
	if by == shaftline.ByUtilisation && k.line.LeastRadius() == 0 {
		return math.Inf(1), nil
	}
	floor := k.line.Floor(by)
	o.followCircles(o.worstAt)
	if err := o.strays(); err != nil {
		return 0, err
	}
	if !s.many {
		c := &s.circuits[0]
		o.cast(c.weights)
		long, err := o.shadow.longest(0, bounding)
		var stray float64
		for i, w := range c.weights {
			stray += math.Abs(w) * o.stray[s.members[i]]
		}
		return math.Max(c.of(long+stray, by), floor), err
	}
	o.hint = o.hint[:0]
	if _, err := o.solveHinted(group, by); err != nil {
		return 0, err
	}
	return o.boundByRule(group, by, worst)
}

// boundByRule is the bound of the group last solved, at worstAt, by its multipliers' own rule.
func (o *over) boundByRule(group []int, by shaftline.Measure, worst float64) (float64, error) {
	k := o.k
	s, l := o.now, &k.line
	m, lines := len(s.members), 2*len(group)
	room := func(i int) float64 {
		r := k.circles[s.members[i]].Radius
		if by == shaftline.ByMargin {
			r += worst
		}
		return math.Max(r, tol.Meet)
	}
	heaviest := 0.0
	o.rule.weight = dense.Resize(o.rule.weight, m)
	for i, y := range l.Multipliers {
		o.rule.weight[i] = dense.Length(y[0], y[1]) / room(i)
		heaviest = math.Max(heaviest, o.rule.weight[i])
	}
	for i := range m {
		if heaviest == 0 {
			o.rule.weight[i] = 1 / (room(i) * room(i))
		}
		o.rule.weight[i] = math.Max(o.rule.weight[i], lightest*heaviest)
	}
	o.rule.fit(k, s.members, lines)
	k.line.Frame(group) // takes a first line off the centres
	for i, member := range s.members {
		o.values[2*member], o.values[2*member+1] = l.Centre(i)
	}
	o.circles = false
	bound := math.Inf(-1)
	row := dense.Resize(o.full, m)
	o.full = row
	for i, member := range s.members {
		o.rule.residual(row, i)
		o.cast(row)
		q := &k.circles[member]
		enough := worst * q.Radius
		if by == shaftline.ByMargin {
			enough = worst + q.Radius
		}
		long, err := o.shadow.longest(enough, bounding)
		if err != nil {
			return 0, err
		}
		if long += o.stray[member]; by == shaftline.ByUtilisation {
			bound = math.Max(bound, long/q.Radius)
		} else {
			bound = math.Max(bound, long-q.Radius)
		}
	}
	return bound, nil
}

// lineRule is a weighted least-squares fit of a group's lines to its centres.
type lineRule struct {
	weight []float64
	a, m   []float64 // coefficients of each circle's line; normal equations, factored
	b      []float64 // of each centre, what it adds to the lines
	lines  int
}

// fit lays the rule out.
func (r *lineRule) fit(k *kernel, members []int, lines int) {
	r.lines = lines
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, i := range members {
		lo, hi = math.Min(lo, k.circles[i].Z), math.Max(hi, k.circles[i].Z)
	}
	mid, half := (lo+hi)/2, math.Max((hi-lo)/2, dense.NoPivot)
	r.a, r.m = dense.Resize(r.a, len(members)*lines), dense.Resize(r.m, lines*lines)
	clear(r.a)
	clear(r.m)
	for i, member := range members {
		a := r.a[i*lines : (i+1)*lines]
		k.line.Coefficients(a, member, mid, half)
		for x := range lines {
			for y := range x + 1 {
				r.m[x*lines+y] += r.weight[i] * a[x] * a[y]
			}
		}
	}
	dense.Cholesky(r.m, lines)
	r.b = dense.Resize(r.b, len(members)*lines)
	copy(r.b, r.a)
	for i := range members {
		b := r.b[i*lines : (i+1)*lines]
		dense.Solve(r.m, lines, b)
		for x := range b {
			b[x] *= r.weight[i]
		}
	}
}

// residual writes how far centre i is from its line, as a sum of the centres.
func (r *lineRule) residual(dst []float64, i int) {
	for k := range dst {
		var h float64
		for x := range r.lines {
			h += r.a[i*r.lines+x] * r.b[k*r.lines+x]
		}
		dst[k] = -h
	}
	dst[i]++
}

// strays works out how far each circle may be, anywhere in the floats, from where it follows them
// to first order.
//
// Derivation: what is behind a joint is turned by it about a fixed axis, so that the second
// derivatives of a place are no longer than the arm by two turns, than 1 by a turn and a shift
// behind it, and nothing by two shifts; half of them times the differences, which are no more than
// the float's width. The circle moves along z as well, by which its line, no steeper than any two
// centres, passes it elsewhere.
func (o *over) strays() error {
	k := o.k
	o.stray = dense.Resize(o.stray, len(k.circles))
	steep := 0.0
	for i := range k.circles {
		for j := range i {
			p, q := &k.circles[i], &k.circles[j]
			if dz := math.Abs(p.Z - q.Z); dz > dense.NoPivot {
				steep = math.Max(steep, dense.Length(p.X-q.X, p.Y-q.Y)/dz)
			}
		}
	}
	clear(o.stray)
	o.width = dense.Resize(o.width, 2*len(o.loose))
	for l, j := range o.loose {
		var err error
		if o.width[2*l], o.width[2*l+1], err = j.set.Widths(); err != nil {
			return err
		}
	}
	for i := range k.circles {
		q := &k.circles[i]
		if q.Other >= 0 {
			continue
		}
		b := k.lay.supports[q.Holder].boreAt
		p := r3.Sub(k.centre(b), k.parts[b.part].moved)
		var turned, arm, along float64
		for l, j := range o.loose {
			if b.part <= j.joint {
				continue
			}
			shift, turn := o.width[2*l], o.width[2*l+1]
			v := o.moves[3*l+2].ofPoint(p)
			o.stray[i] += turned * shift
			turned, arm = turned+turn, math.Max(arm, r3.Norm(v))
			along += shift*dense.Length(o.moves[3*l].shift.Z, o.moves[3*l+1].shift.Z) + turn*math.Abs(v.Z)
		}
		o.stray[i] += turned*turned*arm/2 + steep*along
	}
	return nil
}
