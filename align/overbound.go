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
		long, err := o.longestOfOne(bounding)
		return math.Max(s.circuits[0].of(long, by), floor), err
	}
	o.hint = o.hint[:0]
	if _, err := o.solveHinted(group, by); err != nil {
		return 0, err
	}
	o.weigh(by, worst)
	return o.boundByRule(group, by, worst, math.Inf(1))
}

// longestOfOne is what the sum of a group's only circuit does not exceed in length.
func (o *over) longestOfOne(share float64) (float64, error) {
	s := o.now
	c := &s.circuits[0]
	o.cast(c.weights)
	long, err := o.shadow.longest(0, share)
	for i, w := range c.weights {
		long += math.Abs(w) * o.stray[s.members[i]]
	}
	return long, err
}

// weigh sets a group's weights to those of the multipliers that its lines have at the worst.
func (o *over) weigh(by shaftline.Measure, worst float64) {
	k, s := o.k, o.now
	room := func(i int) float64 {
		r := k.circles[s.members[i]].Radius
		if by == shaftline.ByMargin {
			r += worst
		}
		return math.Max(r, tol.Meet)
	}
	heaviest := 0.0
	s.weight = dense.Resize(s.weight, len(s.members))
	for i, y := range k.line.Multipliers {
		s.weight[i] = dense.Length(y[0], y[1]) / room(i)
		heaviest = math.Max(heaviest, s.weight[i])
	}
	for i := range s.weight {
		if heaviest == 0 {
			s.weight[i] = 1 / (room(i) * room(i))
		}
		s.weight[i] = math.Max(s.weight[i], lightest*heaviest)
	}
}

// boundByRule is the bound of a group by the rule of its weights, as the circles follow the floats; where it
// is beyond a limit, only that it is.
func (o *over) boundByRule(group []int, by shaftline.Measure, worst, limit float64) (float64, error) {
	k := o.k
	s, l := o.now, &k.line
	m := len(s.members)
	o.rule.fit(k, s.members, 2*len(group), s.weight)
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
		if o.shadow.most()+o.stray[member] <= enough && !math.IsInf(limit, 1) {
			continue
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
		if bound > limit {
			break
		}
	}
	return bound, nil
}

// sureBy, in mm, is more than rounding and certificates leave open of a margin.
const sureBy = 1e-7

// marginHeld is a number on the side of least on which the least margin over the floats is: that one itself
// where nothing tells it sooner, the margin at rest or a bound.
func (o *over) marginHeld(least float64) (float64, error) {
	rest, err := o.lineAtRest(shaftline.ByMargin)
	most := -least - sureBy
	if err != nil || rest > -least+sureBy || rest <= most && o.surely(most) {
		return -rest, err
	}
	o.enough = -least + sureBy
	defer func() { o.enough = math.Inf(1) }()
	all := rest
	for n, group := range o.k.lay.groups {
		v, err := o.worstOfGroup(n, shaftline.ByMargin)
		if all = math.Max(all, v); err != nil || v > o.enough {
			return -all, err
		}
		if s := &o.sums[n]; s.many && all <= most { // what the next sample is bounded by
			o.followCircles(o.worstAt)
			o.hint = o.hint[:0]
			if _, err := o.solveHinted(group, shaftline.ByMargin); err != nil {
				return 0, err
			}
			o.weigh(shaftline.ByMargin, v)
		}
	}
	return -all, nil
}

// surely reports whether a bound shows that the lack of room, no more than most at rest, is so anywhere in the
// floats. The lines' rules are those of the worst of a sample before.
func (o *over) surely(most float64) bool {
	o.putAtRest()
	o.aboutRest()
	if o.strays() != nil {
		return false
	}
	for n, group := range o.k.lay.groups {
		s := o.listCircuits(n)
		o.aboutRest()
		var bound float64
		var err error
		switch {
		case len(s.circuits) == 0:
			continue
		case !s.many:
			bound, err = o.longestOfOne(sure)
			bound = s.circuits[0].of(bound, shaftline.ByMargin)
		case len(s.weight) != len(s.members):
			return false
		default:
			o.k.line.Gather(group)
			bound, err = o.boundByRule(group, shaftline.ByMargin, most, most)
		}
		if err != nil || !(bound <= most) {
			return false
		}
	}
	return true
}

// lineRule is a weighted least-squares fit of a group's lines to its centres.
type lineRule struct {
	a, m  []float64 // coefficients of each circle's line; normal equations, factored
	b     []float64 // of each centre, what it adds to the lines
	lines int
}

// fit lays the rule out.
func (r *lineRule) fit(k *kernel, members []int, lines int, weight []float64) {
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
				r.m[x*lines+y] += weight[i] * a[x] * a[y]
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
			b[x] *= weight[i]
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
