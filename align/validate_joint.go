package align

import (
	"fmt"
	"math"
	"strconv"

	"example.com/borestack/fault"
)

// joint checks joint k.
func (c *checker) joint(at string, s *Stack, k int) {
	j := &s.Joints[k]
	a, b := rearAsMounted(&s.Parts[k]), frontAsMounted(&s.Parts[k+1])
	missing := func(i int, p *Part, side string) {
		if p.Turned {
			side = map[string]string{"rear": "front", "front": "rear"}[side]
		}
		c.add(fault.ErrMissing, fmt.Sprintf("/parts/%d/%s", i, side), "", fmt.Sprintf("the face that meets at joint %q", s.JointName(k)))
	}
	if a == nil {
		missing(k, &s.Parts[k], "rear")
	}
	if b == nil {
		missing(k+1, &s.Parts[k+1], "front")
	}
	if !c.values(at, j) {
		return
	}
	if j.Interpolate && !j.SeatOnPoints {
		c.add(fault.ErrConflict, at+"/interpolate", "true", "seat \"points\": planes need no stations")
	}
	if j.Flatten != 0 && !j.SeatOnPoints {
		c.add(fault.ErrConflict, at+"/flatten", fmt.Sprint(j.Flatten), "seat \"points\": planes have no bow")
	}
	before := len(c.faults)
	c.yield(at+"/yielding", j)
	if a == nil || b == nil {
		return
	}
	c.ring(at, j, a, b)
	c.pins(at, j, a, b)
	pilot := a.Pilot != nil && b.Pilot != nil && (a.Pilot.Kind != b.Pilot.Kind || j.RegisterRing.Given)
	if j.Rules == RulesPilot {
		switch {
		case !pilot:
			c.add(fault.ErrConflict, at+"/rules", strconv.Quote("pilot"), "a spigot and a bore on the two faces")
		case !j.Engagement.Given || j.Engagement.Value == 0:
			c.add(fault.ErrMissing, at+"/engagement", "", "an engagement above 0 for rules \"pilot\"")
		case !a.Diameter.Given && !b.Diameter.Given:
			c.add(fault.ErrMissing, at+"/rules", strconv.Quote("pilot"), "the outer diameter of a face for rules \"pilot\"")
		}
	}
	if len(c.faults) == before && !c.broken[k] && !c.broken[k+1] {
		c.located(at, s, k, a, b, pilot)
	}
}

func (c *checker) ring(at string, j *Joint, a, b *Face) {
	if !j.RegisterRing.Given {
		return
	}
	if a.Pilot == nil || b.Pilot == nil || a.Pilot.Kind != PilotBore || b.Pilot.Kind != PilotBore {
		c.add(fault.ErrConflict, at+"/register_ring", j.RegisterRing.Value.String(), "a pilot of kind \"bore\" on both faces")
	}
}

func (c *checker) pins(at string, j *Joint, a, b *Face) {
	named := func(d *Dowel) string { return d.Name }
	inA, inB := nameSet(a.Dowels, named), nameSet(b.Dowels, named)
	used := map[string]bool{}
	for i, p := range j.Pins {
		q := fmt.Sprintf("%s/pins/%d", at, i)
		if c.known(q+"/dowel", "dowel hole on the front part's face", p.Dowel, inA) {
			c.known(q+"/dowel", "dowel hole on both faces", p.Dowel, inB)
		}
		if used[p.Dowel] {
			c.add(fault.ErrRepeated, q+"/dowel", strconv.Quote(p.Dowel), "one pin in a hole")
		}
		used[p.Dowel] = true
		if n := p.Locates; n.Given && !(math.Hypot(n.Value.X, n.Value.Y) > 0 && math.Hypot(n.Value.X, n.Value.Y) < math.MaxFloat64) {
			c.add(fault.ErrOutOfRange, q+"/locates", fmt.Sprintf("[%v, %v]", n.Value.X, n.Value.Y), "a direction, not zero")
		}
	}
}

// located checks that something holds the shift and the turn of a joint.
func (c *checker) located(at string, s *Stack, k int, a, b *Face, pilot bool) {
	j := &s.Joints[k]
	fa, fb := newMountedPart(&s.Parts[k]), newMountedPart(&s.Parts[k+1])
	fa.mount(&s.Parts[k])
	fb.mount(&s.Parts[k+1])
	full := 0
	for _, p := range j.Pins {
		if !p.Locates.Given {
			full++
		}
	}
	bolts := j.boltsHold(pilot, full)
	if bolts && len(j.Bolts) == 0 {
		c.add(fault.ErrMissing, at+"/bolts", "", "the bolts that bolt_clearance is about")
		return
	}
	if !pilot && !bolts && len(j.Pins) < 2 {
		c.add(fault.ErrNotLocated, at, fmt.Sprintf("%d pins, no pilot, no bolt clearance", len(j.Pins)), "a spigot in a bore, two dowels, a dowel and a flatted pin, or bolts with bolt_clearance")
		return
	}
	var seat seating
	if err := seat.seat(j, fa.rear, fb.front, pinsOf(j, a, b)); err != nil {
		c.add(fault.ErrConflict, at+"/seat", strconv.Quote("points"), "stations that pair, round the clamping centroid: "+err.Error())
		return
	}
	if !seat.set.Turns && pilot {
		return
	}
	if !seat.set.Bounded(pilot) {
		c.add(fault.ErrNotLocated, at, "pins or bolts that leave a way to move", "dowels at distinct places, or a flatted pin that holds square to the line from the other locator")
	}
}

// yield checks a yielding joint.
func (c *checker) yield(at string, j *Joint) {
	y := j.Yield
	if y == nil {
		return
	}
	if !j.SeatOnPoints {
		c.add(fault.ErrConflict, at, "", "seat \"points\": a yielding seat needs measured heights")
	}
	if len(j.Bolts) == 0 || (len(y.BoltLoads) != 1 && len(y.BoltLoads) != len(j.Bolts)) {
		c.add(fault.ErrMissing, at+"/bolt_loads", fmt.Sprintf("%d loads for %d bolts", len(y.BoltLoads), len(j.Bolts)), "one for each bolt, or one for all, and at least one bolt")
	}
}
