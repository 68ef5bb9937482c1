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
	k := o.k
	floor := o.floor(by)
	o.rest(floats)
	if rest <= floor+bestShare*o.roomOf(by) {
		return rest, true, nil
	}
	var of *groupSums
	var c *circuit
	low := math.Inf(-1)
	for n := range k.lay.groups {
		s := o.listCircuits(n)
		if err := o.findShortest(s, by); err != nil {
			return 0, false, err
		}
		for i := range s.circuits {
			if q := &s.circuits[i]; q.shortFound && q.of(q.short, by) > low {
				low, of, c = q.of(q.short, by), s, q
			}
		}
	}
	if c == nil || c.shortFloats < 0 {
		return 0, false, nil
	}
	o.now = of
	at := of.shortFloats[c.shortFloats : c.shortFloats+len(floats)]
	for range 2 {
		// From there the circles follow a little differently: mostly the direction still proves the
		// same floats, and otherwise the shortest is looked for once more.
		o.followCircles(at)
		o.cast(of.weightsOf(c))
		p, err := o.shadow.near(c.shortAngle)
		if err != nil {
			return 0, false, err
		}
		copy(floats, at)
		low = math.Max(floor, c.of(math.Max(p.along, 0), by))
		if value, err = o.valueAt(by, of, c, low > floor); err != nil || value <= low+bestShare*(math.Abs(low)+o.roomOf(by)) {
			return value, err == nil, err
		}
		if c.settled {
			break
		}
		c.settled = true
		_, ok, err := o.shadow.nearest()
		if err != nil || !ok {
			return 0, false, err
		}
		o.putTop(at)
		c.shortAngle = o.shadow.upAngle
	}
	return value, false, nil
}

// valueAt is the use or lack of room of all groups where the parts are; with along, the multipliers
// of a group are expected along its circuit's shortest.
func (o *over) valueAt(by shaftline.Measure, of *groupSums, c *circuit, along bool) (float64, error) {
	value := math.Inf(-1)
	for n, g := range o.k.lay.groups {
		o.hint = o.hint[:0]
		if s := &o.sums[n]; s == of && along {
			o.expect(s.weightsOf(c), c.shortAngle)
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

// findShortest finds the shortest of the sums of a group's circuits as far as they may come to the
// most of a measure.
func (o *over) findShortest(s *groupSums, by shaftline.Measure) error {
	if s.shortBy[by] {
		return nil
	}
	s.shortBy[by] = true
	if !s.shortBy[1-by] {
		o.aboutRest()
		for i := range s.circuits {
			c := &s.circuits[i]
			o.cast(s.weightsOf(c))
			c.rest, c.shortFound, c.settled, c.shortFloats = dense.Length(o.shadow.x, o.shadow.y), false, false, -1
		}
		s.shortFloats = s.shortFloats[:0]
	}
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
		if !c.shortFound {
			o.aboutRest()
			o.cast(s.weightsOf(c))
			least, ok, err := o.shadow.nearest()
			if err != nil {
				return err
			}
			c.short, c.shortFound = least, true
			if ok {
				c.shortFloats, c.shortAngle = len(s.shortFloats), o.shadow.upAngle
				s.shortFloats = append(s.shortFloats, o.from...)
				o.putTop(s.shortFloats[c.shortFloats:])
			}
		}
		low = math.Max(low, c.of(c.short, by))
	}
	return nil
}
