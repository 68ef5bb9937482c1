package align

import (
	"cmp"
	"math"
	"slices"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/align/internal/shaftline"
)

// bestShare is how near, as a share of its lengths, a value must come to what a sum of centres says
// is the least for it to be proved.
const bestShare = 1e-9

// bestByCircuits finds the least use or lack of room over the floats where one circuit's sum
// settles it: no floats bring the sum nearer to nothing than its shortest, so that the value is
// never less than that comes to; where the lines at those floats come to no more, both are proved.
// It reports false where that does not do: several circuits hold each other there, or nothing holds
// the floats.
func (o *over) bestByCircuits(by shaftline.Measure, rest float64, floats []floatset.Vec) (value float64, proved bool, err error) {
	floor := o.floor(by)
	o.rest(floats)
	if rest <= floor+bestShare*o.roomOf(by) {
		return rest, true, nil
	}
	of, c, err := o.longestOfLeast(by)
	if err != nil || c == nil {
		return 0, false, err
	}
	o.now = of
	at := c.least.floats
	for range 2 {
		// From there the circles follow a little differently: mostly the direction still proves the
		// same floats, and otherwise the shortest is looked for once more.
		o.followCircles(at)
		o.cast(c.weights)
		p, err := o.shadow.near(c.least.angle)
		if err != nil {
			return 0, false, err
		}
		copy(floats, at)
		low := math.Max(floor, c.of(math.Max(p.along, 0), by))
		if value, err = o.valueAt(by, of, c, low > floor); err != nil || value <= low+bestShare*(math.Abs(low)+o.roomOf(by)) {
			return value, err == nil, err
		}
		if c.least.settled {
			break
		}
		c.least.settled = true
		if _, err := o.shadow.nearest(); err != nil {
			return 0, false, err
		}
		o.putTop(at)
		c.least.angle = o.shadow.upAngle
	}
	return value, false, nil
}

// longestOfLeast is the circuit whose shortest sum comes to most; nil without any.
func (o *over) longestOfLeast(by shaftline.Measure) (of *groupSums, c *circuit, err error) {
	low := math.Inf(-1)
	for n := range o.k.lay.groups {
		s := o.listCircuits(n)
		if err := o.findLeast(s, by); err != nil {
			return nil, nil, err
		}
		for i := range s.circuits {
			if q := &s.circuits[i]; q.least.found && q.of(q.least.length, by) > low {
				low, of, c = q.of(q.least.length, by), s, q
			}
		}
	}
	return of, c, nil
}

// valueAt is the use or lack of room of all groups where the parts are; with along, the multipliers
// of a group are expected along its circuit's shortest.
func (o *over) valueAt(by shaftline.Measure, of *groupSums, c *circuit, along bool) (float64, error) {
	value := math.Inf(-1)
	for n, g := range o.k.lay.groups {
		o.hint = o.hint[:0]
		if &o.sums[n] == of && along {
			o.expect(c.weights, c.least.angle)
		}
		v, err := o.solveHinted(g, by)
		if err != nil {
			return 0, err
		}
		value = math.Max(value, v)
	}
	return value, nil
}

// floor is what no lines come below: no use, and the lack of room of the tightest circle.
func (o *over) floor(by shaftline.Measure) float64 {
	if by == shaftline.ByUtilisation {
		return 0
	}
	room := math.Inf(1)
	for i := range o.k.circles {
		room = math.Min(room, o.k.circles[i].Radius)
	}
	return -room
}

// scaleOf is by how much room, in mm, a measure's unit may be felt.
func (o *over) scaleOf(by shaftline.Measure) float64 {
	if by == shaftline.ByUtilisation {
		return o.roomOf(shaftline.ByMargin)
	}
	return 1
}

// roomOf is a size of a measure's values: all of the clearance, or the widest room.
func (o *over) roomOf(by shaftline.Measure) float64 {
	if by == shaftline.ByUtilisation {
		return 1
	}
	room := 0.0
	for i := range o.k.circles {
		room = math.Max(room, o.k.circles[i].Radius)
	}
	return room
}

// findLeast finds the shortest of the sums of a group's circuits as far as they may come to the most
// of a measure.
func (o *over) findLeast(s *groupSums, by shaftline.Measure) error {
	if s.leastBy[by] {
		return nil
	}
	if o.aboutRest(); s.leastBy == [2]bool{} {
		for i := range s.circuits {
			c := &s.circuits[i]
			o.cast(c.weights)
			c.rest = dense.Length(o.shadow.x, o.shadow.y)
		}
	}
	s.leastBy[by] = true
	s.order = s.order[:0]
	for i := range s.circuits {
		s.order = append(s.order, i)
	}
	slices.SortStableFunc(s.order, func(a, b int) int {
		return cmp.Compare(s.circuits[b].of(s.circuits[b].rest, by), s.circuits[a].of(s.circuits[a].rest, by))
	})
	low := math.Inf(-1)
	for _, i := range s.order {
		c := &s.circuits[i]
		if c.of(c.rest, by) <= low {
			break
		}
		if !c.least.found {
			o.cast(c.weights)
			length, err := o.shadow.nearest()
			if err != nil {
				return err
			}
			c.least.put(o, length, o.shadow.upAngle)
		}
		low = math.Max(low, c.of(c.least.length, by))
	}
	return nil
}
