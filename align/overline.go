package align

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"example.com/borestack/align/internal/conic"
	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/align/internal/shaftline"
	"example.com/borestack/align/internal/tol"
	"example.com/borestack/fault"
)

// pushSlack, in mm, is how much of the best margin may be given up for the smallest push that reaches it.
const pushSlack = 1e-5

// maxSums is how many sums of centres are followed to their longest as beginnings when no closed form says where the worst is: all of them on a shaft of up to seven circles, a spread of them on more.
const maxSums = 40

// centres writes every circle's centre, x and y in turn.
func (o *over) centres(dst []float64) {
	for i := range o.k.circles {
		c := &o.k.circles[i]
		dst[2*i], dst[2*i+1] = c.X, c.Y
	}
}

// aboutRest linearises the circles about rest.
func (o *over) aboutRest() {
	o.rest(o.trial)
	o.followCircles(o.trial)
}

// worst finds the greatest use or lack of room over the floats, worked out in full at the floats found. For a group with a closed form the search is over all directions; otherwise it climbs from the worst of many closed forms, and is the worst found.
func (o *over) oldWorst(by shaftline.Measure) (float64, error) {
	k := o.k
	all := math.Inf(-1)
	floats := make([]floatset.Vec, len(o.from))
	for _, group := range k.lay.groups {
		o.aboutRest()
		rest, err := k.line.Solve(group, by)
		if err != nil {
			return 0, err
		}
		v, err := o.oldWorstOfGroup(group, by, floats)
		if err != nil {
			return 0, err
		}
		all = math.Max(all, math.Max(rest, v))
	}
	return all, nil
}

// worstOfGroup finds the worst of one group's lines over the floats; floats is set to where it is attained, unless no push matters.
func (o *over) oldWorstOfGroup(group []int, by shaftline.Measure, floats []floatset.Vec) (float64, error) {
	k := o.k
	weight := make([]float64, 2*len(k.circles))
	if k.line.Closed {
		if k.line.Nullity(group) == 0 {
			return math.Inf(-1), nil // no push matters
		}
		a, b := make([]float64, 2*len(k.circles)), make([]float64, 2*len(k.circles))
		for c, i := range k.line.Members {
			a[2*i], b[2*i+1] = k.line.Weights[c], k.line.Weights[c]
		}
		if _, err := o.greatest(floats, a, b, 1); err != nil {
			return 0, err
		}
		return o.climbThere(group, by, floats, weight)
	}
	tops, err := o.beginnings(group, by)
	if err != nil {
		return 0, err
	}
	most := math.Inf(-1)
	note := func(v float64, at []floatset.Vec) {
		if v > most {
			most = v
			copy(floats, at)
		}
	}
	for _, top := range tops {
		v, err := o.oldClimb(group, by, top, weight)
		if err != nil {
			return 0, err
		}
		note(v, top)
		if by == shaftline.ByUtilisation {
			continue
		}
		// The lack of room is flat where some circle has no more to give; the use is not, and leads on from there.
		if _, err = o.oldClimb(group, shaftline.ByUtilisation, top, weight); err != nil {
			return 0, err
		}
		if v, err = o.oldClimb(group, shaftline.ByMargin, top, weight); err != nil {
			return 0, err
		}
		note(v, top)
	}
	v, err := o.climbThere(group, by, floats, weight)
	return math.Max(most, v), err
}

// climbThere climbs from floats as results follow there: about rest they do to first order only.
func (o *over) climbThere(group []int, by shaftline.Measure, floats []floatset.Vec, weight []float64) (float64, error) {
	o.linearise(floats, 2*len(o.k.circles), o.centres)
	return o.oldClimb(group, by, floats, weight)
}

// beginnings are floats to climb from. Any few circles that no line can please together give a sum of centres Σ w p, and |Σ w p| / Σ |w| r is never more than the use; its longest over the floats is found all round, and the floats of the greatest few are kept. The worst use is at least the greatest of these, and mostly it is that.
func (o *over) beginnings(group []int, by shaftline.Measure) ([][]floatset.Vec, error) {
	k := o.k
	type beginning struct {
		value  float64
		floats []floatset.Vec
	}
	var all []beginning
	a, b := make([]float64, 2*len(k.circles)), make([]float64, 2*len(k.circles))
	members := append([]int(nil), k.line.Members...)
	sums := k.sums(group, o.mostSums())
	for _, sum := range sums {
		clear(a)
		clear(b)
		var rooms, weight float64
		for c, i := range members {
			a[2*i], b[2*i+1] = sum[c], sum[c]
			rooms += math.Abs(sum[c]) * k.circles[i].Radius
			weight += math.Abs(sum[c])
		}
		floats := make([]floatset.Vec, len(o.from))
		off, err := o.greatest(floats, a, b, len(sums))
		if err != nil {
			return nil, err
		}
		value := (off - rooms) / weight
		if by == shaftline.ByUtilisation {
			value = off / math.Max(rooms, tol.Meet*weight)
		}
		all = append(all, beginning{value, floats})
	}
	slices.SortStableFunc(all, func(a, b beginning) int { return cmp.Compare(b.value, a.value) })
	var tops [][]floatset.Vec
	for i := range min(len(all), 2*followed) {
		tops = append(tops, all[i].floats)
	}
	return tops, nil
}

// mostSums is how many sums of each group are worth following: fewer where many joints float and many groups of shafts run through them.
func (o *over) mostSums() int {
	const least = 3 * fewestAims // reaches that each joint is asked for in the smallest search
	return max(2, min(maxSums, 4*reaches/(least*max(1, len(o.loose))*len(o.k.lay.groups))))
}

// sums lists weights on the group's members with Σ w ℓ = 0 for all lines, each with as few circles as can be: all of them, or a spread of most.
func (k *kernel) sums(group []int, most int) [][]float64 {
	l := &k.line
	k.line.Gather(group)
	m, n := len(l.Members), 2*len(group)
	var out [][]float64
	take := func(chosen []int) {
		w := make([]float64, len(chosen))
		if k.line.Eliminate(chosen, n, w) == 1 {
			full := make([]float64, m)
			for c, i := range chosen {
				full[i] = w[c]
			}
			out = append(out, full)
		}
	}
	size := min(n+1, m)
	if oldCombinations(m, size) <= most {
		eachChoice(m, size, take)
		return out
	}
	// A fixed spread of choices: the same stack always gives the same answer.
	chosen := make([]int, m)
	state := uint64(m)
	for range most {
		for i := range chosen {
			chosen[i] = i
		}
		for i := range size {
			state = state*6364136223846793005 + 1442695040888963407 // D. E. Knuth's linear congruence, MMIX
			k := i + int(state>>33)%(m-i)
			chosen[i], chosen[k] = chosen[k], chosen[i]
		}
		take(chosen[:size])
	}
	return out
}

// combinations is how many ways there are to choose k of n, at most a few more than maxSums.
func oldCombinations(n, k int) int {
	c := 1
	for i := 1; i <= k; i++ {
		if c = c * (n - k + i) / i; c > maxSums {
			break
		}
	}
	return c
}

// eachChoice calls do with every choice of k of n.
func eachChoice(n, k int, do func([]int)) {
	chosen := make([]int, k)
	var next func(at, from int)
	next = func(at, from int) {
		if at == k {
			do(chosen)
			return
		}
		for i := from; i <= n-(k-at); i++ {
			chosen[at] = i
			next(at+1, i+1)
		}
	}
	next(0, 0)
}

// pulls writes the multipliers of the group last solved as weights on all circles.
func (o *over) pulls(weight []float64) {
	clear(weight)
	for c, i := range o.k.line.Members {
		weight[2*i], weight[2*i+1] = o.k.line.Multipliers[c][0], o.k.line.Multipliers[c][1]
	}
}

// climb pushes along the multipliers until nothing is gained; floats is left where the value is attained.
func (o *over) oldClimb(group []int, by shaftline.Measure, floats []floatset.Vec, weight []float64) (float64, error) {
	k := o.k
	k.placeAt(floats)
	v, err := k.line.Solve(group, by)
	if err != nil || math.IsInf(v, 1) {
		return v, err
	}
	trial := make([]floatset.Vec, len(floats))
	_, climbs := o.effort(2 * followed)
	for range climbs {
		o.pulls(weight)
		if _, err := o.push(trial, weight); err != nil {
			return 0, err
		}
		k.placeAt(trial)
		next, err := k.line.Solve(group, by)
		if err != nil {
			return 0, err
		}
		if !(next > v) {
			break
		}
		copy(floats, trial)
		gained := next - v
		if v = next; gained <= 1e-9*math.Abs(v) || math.IsInf(v, 1) {
			break
		}
	}
	return v, nil
}

// best finds the least use or lack of room over the floats, a convex program in lines and floats together, linearised twice; floats is set to where it is attained.
func (o *over) best(by shaftline.Measure, rest float64, floats []floatset.Vec) (float64, error) {
	if v, proved, err := o.bestByCircuits(by, rest, floats); err != nil || proved {
		return v, err
	}
	return o.bestCones(by, floats)
}

// bestCones is the same by the cone program.
func (o *over) bestCones(by shaftline.Measure, floats []floatset.Vec) (float64, error) {
	k := o.k
	o.rest(floats)
	k.placeAt(floats)
	least, err := k.value(by)
	if err != nil {
		return 0, err
	}
	at := make([]floatset.Vec, len(floats))
	copy(at, floats)
	for range 2 {
		o.followCircles(at)
		p, f := o.lineProgram(by, false, 0)
		res, err := o.solver.Solve(p, tol.Meet/f.Unit)
		if errors.Is(err, conic.ErrNoPoint) {
			return math.Inf(1), nil
		}
		if err != nil {
			return 0, fault.Unsolved("the straight lines over the float", "/shafts and /joints", err)
		}
		o.readFloats(at, res.X, f.N, f.Unit)
		k.placeAt(at)
		v, err := k.value(by)
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

// value is the use, or the lack of room, of all groups.
func (k *kernel) value(by shaftline.Measure) (float64, error) {
	if by == shaftline.ByUtilisation {
		return k.line.Utilisation()
	}
	m, err := k.line.Margin()
	return -m, err
}

// lineProgram is the program in lines and floats together. With held it asks instead for the floats nearest rest whose lack of room is at most s.
func (o *over) lineProgram(by shaftline.Measure, held bool, s float64) (*conic.Problem, shaftline.Frame) {
	k := o.k
	all := make([]int, len(k.stack.Shafts))
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
	row := func(r []float64, c, component int) {
		// the centre follows the floats; lineRow adds it at rest, floatRow adds it again with its derivatives
		k.line.LineRow(r, &f, c, component)
		i := 2*k.line.Members[c] + component
		o.floatRow(r, i, f.N, f.Unit)
		r[n] -= o.values[i] / f.Unit
	}
	heldRows := 0
	for c, i := range k.line.Members {
		q := &k.circles[i]
		if by == shaftline.ByUtilisation && q.Radius == 0 {
			for component := range 2 {
				r := p.Equal()
				row(r, c, component)
				r[n] = -r[n]
			}
			heldRows++
			continue
		}
		cone := p.Cone(2)
		r := cone.Row(0)
		switch {
		case held:
			r[n] = (q.Radius + s) / f.Unit
		case by == shaftline.ByUtilisation:
			r[n-1] = q.Radius / f.Radius
		default:
			r[n-1], r[n] = 1, q.Radius/f.Unit
		}
		row(cone.Row(1), c, 0)
		row(cone.Row(2), c, 1)
	}
	if held || heldRows == len(k.line.Members) {
		p.Cone(1).Row(0)[n-1] = 1 // the last variable is idle
		p.Cost()[n-1] = 1
	}
	o.fenceCones(p, f.N, f.Unit)
	return p, f
}

// smallestPush finds the floats nearest rest whose margin is the best but for pushSlack.
func (o *over) smallestPush(bestMargin float64, floats []floatset.Vec) error {
	k := o.k
	o.linearise(floats, 2*len(k.circles), o.centres)
	p, f := o.lineProgram(shaftline.ByMargin, true, -bestMargin+pushSlack)
	q := p.Quadratic()
	n := f.N + o.floatVariables() + 1
	col := f.N
	for i := range f.N {
		q[i*n+i] = 1e-9 // lines are free; a touch keeps them still
	}
	for _, j := range o.loose {
		goal, base := j.set.Scaled(k.seats[j.joint].at), j.set.Base
		for t := range j.set.Dim {
			q[col*n+col] = 1
			for c := range 3 {
				p.Cost()[col] -= j.set.Span[t][c] * (goal[c] - base[c]) / f.Unit
			}
			col++
		}
	}
	res, err := o.solver.Solve(p, tol.Meet/f.Unit)
	if err != nil {
		return fault.Unsolved("the straight lines over the float", "/shafts and /joints", err)
	}
	o.readFloats(floats, res.X, f.N, f.Unit)
	return nil
}
