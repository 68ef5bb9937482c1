package align

import (
	"cmp"
	"math"
	"slices"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/align/internal/shaftline"
)

// The worst over the floats is the greatest, over multipliers y that no line changes, of Σ y·p at
// its own farthest floats: a maximum of a convex function, at an extreme y. Mostly that is a
// circuit's sum along one direction (shadow.go); from the best few of them the climb goes on along
// the multipliers of the lines themselves, which also follow the floats again where they were
// found.

// Of the starts of the climbs.
const (
	nearlyBest = 0.1   // share of the best by which the sum of a circuit may stay behind and still be one
	manyStarts = 12    // circuits looked at where several push together
	roughTop   = 1e-2  // share of its length to which the longest of these is looked for
	planar     = 1e-4  // share of what may stay behind by which the worst may exceed the best circuit and still be its
	sure       = 1e-7  // share of its length to which a circuit's longest is looked for
	coarse     = 16    // directions that bound a circuit's length first
	climbs     = 60    // steps of one climb
	gained     = 1e-10 // share of the room, or of all of the clearance, that is not worth another step
)

// worst finds the greatest use or lack of room over the floats, worked out in full at the floats
// found; rest is what it is at rest.
func (o *over) worst(by shaftline.Measure, rest float64) (float64, error) {
	all := rest
	for n := range o.k.lay.groups {
		v, err := o.worstOfGroup(n, by)
		if err != nil {
			return 0, err
		}
		all = math.Max(all, v)
	}
	return all, nil
}

// worstOfGroup is the worst of group n: minus infinity where no push matters. The climb from the
// best top is mostly the worst; climbs from others are followed to first order about it, and left
// when they come to the same place.
func (o *over) worstOfGroup(n int, by shaftline.Measure) (float64, error) {
	s, err := o.findLongest(n)
	first := s.best(by)
	if err != nil || first == nil {
		return math.Inf(-1), err
	}
	group := o.k.lay.groups[n]
	highest := first.of(first.longest.length, by)
	o.expect(first.weights, first.longest.angle)
	o.worstAt = append(o.worstAt[:0], first.longest.floats...)
	most, err := o.climb(group, by, o.worstAt)
	if err != nil {
		return 0, err
	}
	if most > o.enough {
		return most, nil
	}
	if !s.many || o.near(o.worstAt, first.longest.floats) { // the other measure begins where this one ended
		copy(first.longest.floats, o.worstAt)
	}
	for i := range s.circuits {
		c := &s.circuits[i]
		if c == first || !c.longest.found || c.of(c.longest.length, by) < highest-s.slack[by] {
			continue
		}
		copy(o.spot, c.longest.floats)
		o.expect(c.weights, c.longest.angle)
		o.followCircles(o.worstAt)
		elsewhere, err := o.approach(group, by, o.spot)
		if err == nil && elsewhere {
			most, err = o.climbOn(group, by, most)
		}
		if err != nil {
			return 0, err
		}
	}
	if most-highest > planar*math.Abs(s.slack[by]) {
		return o.worstOfMany(n, by, most)
	}
	return most, nil
}

// climbOn climbs from the floats in spot, and keeps what is more than the most so far.
func (o *over) climbOn(group []int, by shaftline.Measure, most float64) (float64, error) {
	v, err := o.climb(group, by, o.spot)
	if v > most {
		most = v
		copy(o.worstAt, o.spot)
	}
	return most, err
}

// worstOfMany looks on where the worst is more than any circuit comes to: there several circuits
// push together, and each may lead elsewhere. The climbs begin from the longest of every circuit,
// as they are, and where the use is greatest: the lack of room may be flat on the way.
func (o *over) worstOfMany(n int, by shaftline.Measure, most float64) (float64, error) {
	s, group := &o.sums[n], o.k.lay.groups[n]
	for i := range s.circuits[:min(len(s.circuits), manyStarts)] {
		o.aboutRest()
		o.now = s
		o.cast(s.circuits[i].weights)
		if _, err := o.shadow.longest(0, roughTop); err != nil {
			return 0, err
		}
		for _, first := range [2]shaftline.Measure{by, shaftline.ByUtilisation} {
			o.rest(o.spot)
			o.putTop(o.spot)
			o.hint = o.hint[:0]
			if first != by {
				if _, err := o.climb(group, first, o.spot); err != nil {
					return 0, err
				}
				o.hint = o.hint[:0]
			}
			var err error
			if most, err = o.climbOn(group, by, most); err != nil {
				return 0, err
			}
			if by == shaftline.ByUtilisation {
				break
			}
		}
	}
	return most, nil
}

// Of the approach to another worst.
const (
	samePushes = 1e-3 // share of the room of its joint by which floats lie at one place
	roughly    = 1e-6 // share of the value that is not worth another step to first order
)

// approach climbs as the circles follow the floats to first order about the worst found so far, and
// reports whether that leads elsewhere.
func (o *over) approach(group []int, by shaftline.Measure, floats []floatset.Vec) (bool, error) {
	last := math.Inf(-1)
	for range climbs {
		if o.near(floats, o.worstAt) {
			return false, nil
		}
		o.circlesTo(floats)
		o.k.line.Rough = true
		v, err := o.solveHinted(group, by)
		o.k.line.Rough = false
		if err != nil || !(v > last+roughly*math.Abs(v)) || math.IsInf(v, 1) || !o.pull() {
			return true, err
		}
		last = v
		if err := o.pushAlong(floats); err != nil {
			return true, err
		}
	}
	return true, nil
}

// near reports whether floats lie at one place.
func (o *over) near(a, b []floatset.Vec) bool {
	for _, j := range o.loose {
		within := samePushes * j.set.WidestRadius()
		u, v := a[j.joint], b[j.joint]
		if math.Abs(u.X-v.X) > within || math.Abs(u.Y-v.Y) > within || math.Abs(u.G-v.G)*j.set.CharLength > within {
			return false
		}
	}
	return true
}

// circlesTo puts the circles where they follow the floats to, to first order; the parts stay.
func (o *over) circlesTo(floats []floatset.Vec) {
	for i := range o.k.circles {
		o.k.circles[i].X, o.k.circles[i].Y = o.follow(2*i, floats), o.follow(2*i+1, floats)
	}
	o.aside = true
}

// findLongest finds the longest sums of group n as far as they may come to nearly the most of either
// measure.
func (o *over) findLongest(n int) (*groupSums, error) {
	s := &o.sums[n]
	o.now = s
	if s.topped {
		return s, nil
	}
	o.aboutRest()
	o.listCircuits(n)
	s.topped, s.slack = true, [2]float64{}
	if len(s.circuits) > 1 {
		for i := range s.circuits {
			c := &s.circuits[i]
			o.cast(c.weights)
			c.high = o.shadow.most()
		}
		slices.SortStableFunc(s.circuits, func(a, b circuit) int {
			return cmp.Compare(b.of(b.high, shaftline.ByUtilisation), a.of(a.high, shaftline.ByUtilisation))
		})
	}
	best := [2]float64{math.Inf(-1), math.Inf(-1)}
	for i := range s.circuits {
		c := &s.circuits[i]
		enough := math.Inf(1)
		for by := range shaftline.Measure(2) {
			enough = math.Min(enough, c.length(best[by]-s.slack[by], by))
		}
		if c.high <= enough {
			continue
		}
		o.cast(c.weights)
		if _, err := o.shadow.longest(enough, sure); err != nil {
			return s, err
		}
		far := o.shadow.far.r
		if far <= enough {
			continue
		}
		c.longest.put(o, far, o.shadow.far.angle)
		for by := range shaftline.Measure(2) {
			if v := c.of(far, by); v > best[by] {
				best[by], s.slack[by] = v, nearlyBest*(v-c.of(0, by))
			}
		}
	}
	return s, nil
}

// best is the circuit whose longest sum comes to most; nil without any.
func (s *groupSums) best(by shaftline.Measure) (best *circuit) {
	for i := range s.circuits {
		if c := &s.circuits[i]; c.longest.found && (best == nil || c.of(c.longest.length, by) > best.of(best.longest.length, by)) {
			best = c
		}
	}
	return best
}

// putTop puts the floats of the shadow's farthest point among those of all joints.
func (o *over) putTop(dst []floatset.Vec) {
	for l, j := range o.loose {
		dst[j.joint] = o.shadow.top[l]
	}
}

// expect expects multipliers along a clock angle, in the shares of weights.
func (o *over) expect(weights []float64, angle float64) {
	sin, cos := math.Sincos(angle)
	o.hint = o.hint[:0]
	for _, w := range weights {
		o.hint = append(o.hint, [2]float64{w * sin, w * cos})
	}
}

// pull writes the multipliers of the group last solved as pulls on the floats, and returns whether
// there are any.
func (o *over) pull() bool {
	n := 3 * len(o.loose)
	o.gradient = dense.Zeros(o.gradient, n)
	any := false
	for c, i := range o.k.line.Members {
		x, y := o.k.line.Multipliers[c][0], o.k.line.Multipliers[c][1]
		if x == 0 && y == 0 {
			continue
		}
		any = true
		dx, dy := o.deriv[2*i*n:(2*i+1)*n], o.deriv[(2*i+1)*n:(2*i+2)*n]
		for j := range n {
			o.gradient[j] += x*dx[j] + y*dy[j]
		}
	}
	return any
}

// pushAlong moves floats to the farthest along the gradient; those that the gradient does not feel
// stay.
func (o *over) pushAlong(floats []floatset.Vec) error {
	for l, j := range o.loose {
		g := floatset.Vec{X: o.gradient[3*l], Y: o.gradient[3*l+1], G: o.gradient[3*l+2]}
		if g == (floatset.Vec{}) {
			continue
		}
		v, err := j.set.Farthest(g)
		if err != nil {
			return err
		}
		floats[j.joint] = v
	}
	return nil
}

// rise is how far the gradient says that floats are beyond others.
func (o *over) rise(floats, others []floatset.Vec) float64 {
	var rise float64
	for l, j := range o.loose {
		v, at := floats[j.joint], others[j.joint]
		rise += o.gradient[3*l]*(v.X-at.X) + o.gradient[3*l+1]*(v.Y-at.Y) + o.gradient[3*l+2]*(v.G-at.G)
	}
	return rise
}

// climb pushes along the multipliers until nothing is gained, following the floats again at every
// step; floats is left where the value is attained.
func (o *over) climb(group []int, by shaftline.Measure, floats []floatset.Vec) (float64, error) {
	o.followCircles(floats)
	v, err := o.solveHinted(group, by)
	if err != nil || math.IsInf(v, 1) {
		return v, err
	}
	least := gained * o.roomOf(by)
	for range climbs {
		if !o.pull() {
			break
		}
		copy(o.trial, floats)
		if err := o.pushAlong(o.trial); err != nil {
			return 0, err
		}
		if o.rise(o.trial, floats) <= least {
			break
		}
		o.followCircles(o.trial)
		next, err := o.solveHinted(group, by)
		if err != nil {
			return 0, err
		}
		if !(next > v) {
			break
		}
		copy(floats, o.trial)
		gain := next - v
		if v = next; gain <= least || math.IsInf(v, 1) {
			break
		}
	}
	return v, nil
}

// solveHinted solves a group's lines beginning with the multipliers that are expected, and expects
// those found the next time.
func (o *over) solveHinted(group []int, by shaftline.Measure) (float64, error) {
	l := &o.k.line
	l.Hint, l.Many = o.hint, o.now.many
	if len(l.Hint) == 0 {
		l.Hint = nil
	}
	v, err := o.k.line.Solve(group, by)
	l.Hint = nil
	if slices.ContainsFunc(l.Multipliers, func(y [2]float64) bool { return y != [2]float64{} }) {
		o.hint = append(o.hint[:0], l.Multipliers...)
	}
	return v, err
}
