package align

import (
	"math"
	"slices"
)

// The worst over the floats is the greatest, over multipliers y that no line changes, of Σ y·p at its own farthest floats: a maximum of a convex function, at an extreme y. Mostly that is a circuit's sum along one direction (shadow.go); from the best few of them the climb goes on along the multipliers of the lines themselves, which also follow the floats again where they were found.

// Of the starts of the climbs.
const (
	nearlyBest = 0.1  // share of the best by which the sum of a circuit may stay behind and still be one
	starts     = 6    // at most
	sure       = 1e-7 // share of its length to which a circuit's longest is looked for
	coarse     = 16   // directions that bound a circuit's length first
	climbs     = 60   // steps of one climb
	gained     = 1e-11
)

// worst finds the greatest use or lack of room over the floats, worked out in full at the floats found; rest is what it is at rest.
func (o *over) worst(by measure, rest float64) (float64, error) {
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

// worstOfGroup is the worst of group n: minus infinity where no push matters.
func (o *over) worstOfGroup(n int, by measure) (float64, error) {
	if err := o.findTops(n); err != nil {
		return 0, err
	}
	group := o.k.lay.groups[n]
	most := math.Inf(-1)
	tops := &o.tops[n]
	best := math.Inf(-1)
	for i := range tops.list {
		best = math.Max(best, tops.list[i].value[by])
	}
	for i := range tops.list {
		t := &tops.list[i]
		if t.value[by] < best-tops.slack[by] {
			continue
		}
		copy(o.trial, o.from)
		o.rest(o.spot)
		for l, j := range o.loose {
			o.spot[j.joint] = tops.floats[t.floats+l]
		}
		v, err := o.climb(group, by, o.spot)
		if err != nil {
			return 0, err
		}
		most = math.Max(most, v)
	}
	return most, nil
}

// tops are the circuits of a group that come to nearly the most over the floats, and where.
type tops struct {
	found  bool
	list   []top
	slack  [2]float64 // by which a value may stay behind the best, of each measure
	floats []float3
}

type top struct {
	value  [2]float64 // of each measure
	floats int        // where its floats begin, one a loose joint
}

// findTops finds the tops of group n, for both measures at once.
func (o *over) findTops(n int) error {
	k := o.k
	t := &o.tops[n]
	if t.found {
		return nil
	}
	t.found, t.list, t.floats, t.slack = true, t.list[:0], t.floats[:0], [2]float64{}
	o.rest(o.trial)
	o.followCircles(o.trial)
	group := k.lay.groups[n]
	k.gather(group)
	o.members = append(o.members[:0], k.line.members...)
	o.listCircuits(group)
	if len(o.circuits) > 1 {
		for i := range o.circuits {
			c := &o.circuits[i]
			o.castCircuit(c, o.members)
			c.high = o.shadow.most()
		}
		slices.SortStableFunc(o.circuits, func(a, b circuit) int {
			switch x, y := a.of(a.high, byUse), b.of(b.high, byUse); {
			case x > y:
				return -1
			case x < y:
				return 1
			}
			return 0
		})
	}
	best := [2]float64{math.Inf(-1), math.Inf(-1)}
	for i := range o.circuits {
		c := &o.circuits[i]
		enough := math.Min(c.length(best[byUse]-t.slack[byUse], byUse), c.length(best[byMargin]-t.slack[byMargin], byMargin))
		if c.high <= enough {
			continue
		}
		o.castCircuit(c, o.members)
		if _, err := o.shadow.longest(enough, sure); err != nil {
			return err
		}
		if far := o.shadow.far.r; far > enough {
			at := top{floats: len(t.floats)}
			t.floats = append(t.floats, o.shadow.top...)
			for by := range best {
				at.value[by] = c.of(far, measure(by))
				if at.value[by] > best[by] {
					best[by] = at.value[by]
					t.slack[by] = nearlyBest * (c.of(far, measure(by)) - c.of(0, measure(by)))
				}
			}
			t.list = append(t.list, at)
		}
	}
	return nil
}

// length is the length at which a circuit comes to a value.
func (c *circuit) length(value float64, by measure) float64 {
	if by == byUse {
		return value * math.Max(c.rooms, meetTol*c.weight)
	}
	return value*c.weight + c.rooms
}

// pull writes the multipliers of the group last solved as pulls on the floats, and returns whether there are any.
func (o *over) pull() bool {
	n := 3 * len(o.loose)
	o.gradient = resize(o.gradient, n)
	clear(o.gradient)
	any := false
	for c, i := range o.k.line.members {
		x, y := o.k.line.pull[c][0], o.k.line.pull[c][1]
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

// pushAlong sets dst to the floats farthest along the gradient, and returns by how much that is farther than where they were followed from.
func (o *over) pushAlong(dst []float3) (float64, error) {
	copy(dst, o.from)
	var rise float64
	for l, j := range o.loose {
		g := float3{o.gradient[3*l], o.gradient[3*l+1], o.gradient[3*l+2]}
		if g == (float3{}) {
			continue
		}
		v, err := j.set.farthest(g)
		if err != nil {
			return 0, err
		}
		at := o.from[j.joint]
		if more := g.x*(v.x-at.x) + g.y*(v.y-at.y) + g.g*(v.g-at.g); more > 0 {
			rise += more
			dst[j.joint] = v
		}
	}
	return rise, nil
}

// climb pushes along the multipliers until nothing is gained, following the floats again at every step; floats is left where the value is attained.
func (o *over) climb(group []int, by measure, floats []float3) (float64, error) {
	k := o.k
	o.followCircles(floats)
	v, err := k.solveGroup(group, by)
	if err != nil || math.IsInf(v, 1) {
		return v, err
	}
	for range climbs {
		if !o.pull() {
			break
		}
		rise, err := o.pushAlong(o.trial)
		if err != nil {
			return 0, err
		}
		if rise <= gained*(math.Abs(v)+o.floatSize()) {
			break
		}
		o.followCircles(o.trial)
		next, err := k.solveGroup(group, by)
		if err != nil {
			return 0, err
		}
		if !(next > v) {
			break
		}
		copy(floats, o.trial)
		gain := next - v
		if v = next; gain <= 1e-9*math.Abs(v) || math.IsInf(v, 1) {
			break
		}
	}
	return v, nil
}
func (o *over) floatSize() float64 { return 0 }
