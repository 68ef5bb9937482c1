package align

import (
	"errors"
	"math"

	"example.com/borestack/align/internal/conic"
)

// pushSlack, in mm, is how much of the best margin may be given up for the smallest push that reaches it.
const pushSlack = 1e-5

// starts is about how many pushes are tried as beginnings when no closed form says where the worst is.
const starts = 64

// centres writes every circle's centre, x and y in turn.
func (o *over) centres(dst []float64) {
	for i := range o.k.circles {
		c := &o.k.circles[i]
		dst[2*i], dst[2*i+1] = c.x, c.y
	}
}

// aboutRest linearises the circles about rest.
func (o *over) aboutRest() {
	o.rest(o.trial)
	o.linearise(o.trial, 2*len(o.k.circles), o.centres)
}

// worst finds the greatest use or lack of room over the floats, worked out in full at the floats found. For a group with a closed form the search is over all directions; otherwise it climbs from many pushes, and is the worst found.
func (o *over) worst(by measure) (float64, error) {
	k := o.k
	all := math.Inf(-1)
	floats := make([]float3, len(o.from))
	for _, group := range k.lay.groups {
		o.aboutRest()
		rest, err := k.solveGroup(group, by)
		if err != nil {
			return 0, err
		}
		v, err := o.worstOfGroup(group, by, floats)
		if err != nil {
			return 0, err
		}
		all = math.Max(all, math.Max(rest, v))
	}
	return all, nil
}

func (o *over) worstOfGroup(group []int, by measure, floats []float3) (float64, error) {
	k := o.k
	if k.line.closed {
		if k.nullity(group) == 0 {
			return math.Inf(-1), nil // no push matters
		}
		a, b := make([]float64, 2*len(k.circles)), make([]float64, 2*len(k.circles))
		for c, i := range k.line.members {
			a[2*i], b[2*i+1] = k.line.weights[c], k.line.weights[c]
		}
		if _, err := o.greatest(floats, a, b); err != nil {
			return 0, err
		}
		k.placeAt(floats)
		return k.solveGroup(group, by)
	}
	tops, err := o.tryStarts(group, floats)
	if err != nil {
		return 0, err
	}
	weight := make([]float64, 2*len(k.circles))
	most := math.Inf(-1)
	for _, floats := range tops {
		// The lack of room is flat where some circle has no more to give; the use is not, so it leads there.
		v, err := o.climb(group, byUse, floats, weight)
		if err != nil {
			return 0, err
		}
		if by == byMargin {
			if v, err = o.climb(group, byMargin, floats, weight); err != nil {
				return 0, err
			}
		}
		most = math.Max(most, v)
	}
	return most, nil
}

// tryStarts pushes every circle of the group every way, and along its multipliers at rest, and returns the floats of the few worst.
func (o *over) tryStarts(group []int, floats []float3) ([][]float3, error) {
	k := o.k
	weight := make([]float64, 2*len(k.circles))
	members := append([]int(nil), k.line.members...)
	round := max(4, starts/len(members))
	stride := max(1, len(members)*round/(2*starts))
	type start struct {
		use, lack float64
		floats    []float3
	}
	var all []start
	consider := func() error {
		if _, err := o.push(floats, weight); err != nil {
			return err
		}
		k.placeAt(floats)
		lack, err := k.solveGroup(group, byMargin)
		if err != nil {
			return err
		}
		use, err := k.solveGroup(group, byUse)
		if err != nil {
			return err
		}
		all = append(all, start{use, lack, append([]float3(nil), floats...)})
		return nil
	}
	if _, err := k.solveGroup(group, byUse); err != nil {
		return nil, err
	}
	o.pulls(weight)
	if err := consider(); err != nil {
		return nil, err
	}
	for n := 0; n < len(members); n += stride {
		for a := range round {
			clear(weight)
			s, c := math.Sincos(2 * math.Pi * float64(a) / float64(round))
			weight[2*members[n]], weight[2*members[n]+1] = s, c
			if err := consider(); err != nil {
				return nil, err
			}
		}
	}
	var tops [][]float3
	take := func(worse func(a, b *start) bool) {
		for range followed {
			at := -1
			for i := range all {
				if all[i].floats != nil && (at < 0 || worse(&all[i], &all[at])) {
					at = i
				}
			}
			if at >= 0 {
				tops = append(tops, all[at].floats)
				all[at].floats = nil
			}
		}
	}
	take(func(a, b *start) bool { return a.use > b.use })
	take(func(a, b *start) bool { return a.lack > b.lack })
	return tops, nil
}

// pulls writes the multipliers of the group last solved as weights on all circles.
func (o *over) pulls(weight []float64) {
	clear(weight)
	for c, i := range o.k.line.members {
		weight[2*i], weight[2*i+1] = o.k.line.pull[c][0], o.k.line.pull[c][1]
	}
}

// climb pushes along the multipliers until nothing is gained; floats is left where the value is attained.
func (o *over) climb(group []int, by measure, floats []float3, weight []float64) (float64, error) {
	k := o.k
	k.placeAt(floats)
	v, err := k.solveGroup(group, by)
	if err != nil || math.IsInf(v, 1) {
		return v, err
	}
	trial := make([]float3, len(floats))
	for range climbs {
		o.pulls(weight)
		if _, err := o.push(trial, weight); err != nil {
			return 0, err
		}
		k.placeAt(trial)
		next, err := k.solveGroup(group, by)
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
func (o *over) best(by measure, floats []float3) (float64, error) {
	k := o.k
	o.rest(floats)
	k.placeAt(floats)
	least, err := k.value(by)
	if err != nil {
		return 0, err
	}
	at := make([]float3, len(floats))
	copy(at, floats)
	for range 2 {
		o.linearise(at, 2*len(k.circles), o.centres)
		p, f := o.lineProgram(by, false, 0)
		res, err := o.solver.Solve(p, meetTol/f.unit)
		if errors.Is(err, conic.ErrNoPoint) {
			return math.Inf(1), nil
		}
		if err != nil {
			return 0, errors.Join(ErrNotConverging, err)
		}
		o.readFloats(at, res.X, f.n, f.unit)
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
func (k *kernel) value(by measure) (float64, error) {
	if by == byUse {
		return k.use()
	}
	m, err := k.margin()
	return -m, err
}

// lineProgram is the program in lines and floats together. With held it asks instead for the floats nearest rest whose lack of room is at most s.
func (o *over) lineProgram(by measure, held bool, s float64) (*conic.Problem, lineFrame) {
	k := o.k
	all := make([]int, len(k.stack.Shafts))
	for i := range all {
		all[i] = i
	}
	k.gather(all)
	f := k.frame(all)
	f.unit = math.Max(f.unit, o.floatUnit())
	f.n = 4 * len(all)
	p := &o.problem
	n := f.n + o.floatVariables() + 1
	p.Reset(n)
	if !held {
		p.Cost()[n-1] = 1
	}
	row := func(r []float64, c, component int) {
		// the centre follows the floats; lineRow adds it at rest, floatRow adds it again with its derivatives
		k.lineRow(r, &f, c, component)
		i := 2*k.line.members[c] + component
		o.floatRow(r, i, f.n, f.unit)
		r[n] -= o.values[i] / f.unit
	}
	heldRows := 0
	for c, i := range k.line.members {
		q := &k.circles[i]
		if by == byUse && q.room == 0 {
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
			r[n] = (q.room + s) / f.unit
		case by == byUse:
			r[n-1] = q.room / f.room
		default:
			r[n-1], r[n] = 1, q.room/f.unit
		}
		row(cone.Row(1), c, 0)
		row(cone.Row(2), c, 1)
	}
	if held || heldRows == len(k.line.members) {
		p.Cone(1).Row(0)[n-1] = 1 // the last variable is idle
		p.Cost()[n-1] = 1
	}
	o.fenceCones(p, f.n, f.unit)
	return p, f
}

// smallestPush finds the floats nearest rest whose margin is the best but for pushSlack.
func (o *over) smallestPush(bestMargin float64, floats []float3) error {
	k := o.k
	o.linearise(floats, 2*len(k.circles), o.centres)
	p, f := o.lineProgram(byMargin, true, -bestMargin+pushSlack)
	q := p.Quadratic()
	n := f.n + o.floatVariables() + 1
	col := f.n
	for i := range f.n {
		q[i*n+i] = 1e-9 // lines are free; a touch keeps them still
	}
	for _, j := range o.loose {
		goal, base := j.set.scaled(k.seats[j.joint].at), j.set.base
		for t := range j.set.dim {
			q[col*n+col] = 1
			for c := range 3 {
				p.Cost()[col] -= j.set.span[t][c] * (goal[c] - base[c]) / f.unit
			}
			col++
		}
	}
	res, err := o.solver.Solve(p, meetTol/f.unit)
	if err != nil {
		return errors.Join(ErrNotConverging, err)
	}
	o.readFloats(floats, res.X, f.n, f.unit)
	return nil
}
