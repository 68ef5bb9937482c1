package align

import (
	"errors"
	"math"
	"slices"

	"example.com/borestack/align/internal/conic"
	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/align/internal/shaftline"
)

// pushSlack, in mm, is how much of the best margin may be given up for the smallest push that
// reaches it.
const pushSlack = 1e-5

// aboutRest makes the circles follow the floats about rest, wherever the parts are.
func (o *over) aboutRest() {
	if o.restKnown {
		if !o.circles || !slices.Equal(o.from, o.restLine.from) {
			o.copyFrom(&o.restLine)
			o.circles = true
		}
		return
	}
	o.rest(o.trial)
	o.followCircles(o.trial)
	o.restLine.copyFrom(&o.linear)
	o.restKnown = true
}

// best finds the least use or lack of room over the floats, a convex program in lines and floats
// together, linearised twice; floats is set to where it is attained.
func (o *over) best(by shaftline.Measure, rest float64, floats []floatset.Vec) (float64, error) {
	if v, proved, err := o.bestByCircuits(by, rest, floats); err != nil || proved {
		return v, err
	}
	return o.bestCones(by, floats)
}

// bestCones is the same by the cone program.
func (o *over) bestCones(by shaftline.Measure, floats []floatset.Vec) (float64, error) {
	least, err := o.lineAtRest(by)
	if err != nil {
		return 0, err
	}
	o.rest(floats)
	at := o.trial
	copy(at, floats)
	for range 2 {
		o.followCircles(at)
		p, f := o.lineProgram(by, false, 0)
		if err := o.solve(p, f.N, f.Unit, at); errors.Is(err, conic.ErrNoPoint) {
			return math.Inf(1), nil
		} else if err != nil {
			return 0, err
		}
		o.put(at)
		v, err := o.k.line.Least(by)
		if err != nil {
			return 0, err
		}
		if v < least {
			least = v
			copy(floats, at)
		}
	}
	return least, nil
}

// lineProgram is the program in lines and floats together. With held it asks instead for the floats
// nearest rest whose lack of room is at most s.
func (o *over) lineProgram(by shaftline.Measure, held bool, s float64) (*conic.Problem, shaftline.Frame) {
	k := o.k
	o.shafts = dense.Resize(o.shafts, len(k.stack.Shafts))
	all := o.shafts
	for i := range all {
		all[i] = i
	}
	k.line.Gather(all)
	f := k.line.Frame(all)
	f.Unit = math.Max(f.Unit, o.floatUnit())
	f.N = 4 * len(all)
	p := &o.problem
	n := f.N + o.floatVariables() + 1
	p.Reset(n)
	if !held {
		p.Cost()[n-1] = 1
	}
	heldRows := k.line.Cones(p, &f, func(i int) bool { return by == shaftline.ByUtilisation && k.circles[i].Radius == 0 }, func(r []float64, i int) {
		q := &k.circles[i]
		switch {
		case held:
			r[n] = (q.Radius + s) / f.Unit
		case by == shaftline.ByUtilisation:
			r[n-1] = q.Radius / f.Radius
		default:
			r[n-1], r[n] = 1, q.Radius/f.Unit
		}
	}, func(r []float64, c, component int) {
		// the centre follows the floats; the line's row has it at rest, floatRow adds it again with
		// its derivatives
		i := 2*k.line.Members[c] + component
		o.floatRow(r, o.values[i], o.derivatives(i), f.N, f.Unit)
		r[n] -= o.values[i] / f.Unit
	})
	if held || heldRows == len(k.line.Members) {
		p.Cone(1).Row(0)[n-1] = 1 // the last variable is idle
		p.Cost()[n-1] = 1
	}
	return p, f
}

// smallestPush finds the floats nearest rest whose margin is the best but for pushSlack.
func (o *over) smallestPush(bestMargin float64, floats []floatset.Vec) error {
	lack := -bestMargin + pushSlack
	if done, err := o.pushByCircuits(lack, floats); err != nil || done {
		return err
	}
	o.followCircles(floats)
	p, f := o.lineProgram(shaftline.ByMargin, true, lack)
	q := p.Quadratic()
	n := f.N + o.floatVariables() + 1
	for i := range f.N {
		q[i*n+i] = keepsStill
	}
	return o.solvePush(p, f.N, f.Unit, floats)
}

// keepsStill is the curvature that lines, which are free, get beside the 1 of a float: a touch.
const keepsStill = 1e-9

// fewCircuits is up to how many sums of centres a push is looked for by them alone.
const fewCircuits = 8

// pushByCircuits finds the floats nearest rest at which no circuit lacks more room than lack; it
// reports false where there are many circuits, or the lines there lack more than that.
func (o *over) pushByCircuits(lack float64, floats []floatset.Vec) (bool, error) {
	n := 0
	for g := range o.sums {
		n += len(o.listCircuits(g).circuits)
	}
	if n > fewCircuits {
		return false, nil
	}
	o.followCircles(floats)
	p, unit := &o.problem, math.Max(o.floatUnit(), o.roomOf(shaftline.ByMargin))
	p.Reset(o.floatVariables())
	for g := range o.sums {
		o.now = &o.sums[g]
		for i := range o.now.circuits {
			c := &o.now.circuits[i]
			o.cast(c.weights)
			cone := p.Cone(2)
			r := cone.Row(0)
			r[len(r)-1] = c.length(lack, shaftline.ByMargin) / unit
			o.floatRow(cone.Row(1), o.shadow.x, o.shadow.gx, 0, unit)
			o.floatRow(cone.Row(2), o.shadow.y, o.shadow.gy, 0, unit)
		}
	}
	copy(o.spot, floats)
	if err := o.solvePush(p, 0, unit, o.spot); err != nil {
		return false, nil
	}
	o.circlesTo(o.spot)
	v, err := o.k.line.Least(shaftline.ByMargin)
	if err != nil || !(v <= lack+bestShare*o.roomOf(shaftline.ByMargin)) {
		return false, err
	}
	copy(floats, o.spot)
	return true, nil
}

// solvePush sets floats to those nearest rest that a program allows, their variables from column
// col on, in unit.
func (o *over) solvePush(p *conic.Problem, col int, unit float64, floats []floatset.Vec) error {
	q, c, k := p.Quadratic(), p.Cost(), col
	for _, j := range o.loose {
		goal, base := j.set.Scaled(o.k.seats[j.joint].at), j.set.Base
		for t := range j.set.Dim {
			q[k*len(c)+k] = 1
			for i := range 3 {
				c[k] -= j.set.Span[t][i] * (goal[i] - base[i]) / unit
			}
			k++
		}
	}
	return o.solve(p, col, unit, floats)
}
