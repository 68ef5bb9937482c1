package align

import (
	"fmt"
	"math"
	"strconv"

	"example.com/borestack/fault"
)

// joint checks joint k.
func (c *checker) joint(s *Stack, k int) {
	j := &s.Joints[k]
	a, b := s.Parts[k].Facing(true), s.Parts[k+1].Facing(false)
	if a == nil {
		c.faceless(s, k, k, true)
	}
	if b == nil {
		c.faceless(s, k, k+1, false)
	}
	if !c.values(j) {
		return
	}
	c.seat(j)
	before := len(c.faults)
	c.yielding(j)
	if a == nil || b == nil {
		return
	}
	pilot := c.register(j, a, b)
	if len(c.faults) == before && c.mounted[k] != nil && c.mounted[k+1] != nil {
		c.located(j, c.mounted[k].rear, c.mounted[k+1].front, pinsOf(j, a, b), pilot)
	}
}

// faceless says that part i lacks the face that meets at joint k: its rear one as mounted, or its front one.
func (c *checker) faceless(s *Stack, k, i int, rear bool) {
	side := "front"
	if rear != s.Parts[i].Turned {
		side = "rear"
	}
	at := c.at
	c.at = nil
	c.add(fault.ErrMissing, fmt.Sprintf("/parts/%d/%s", i, side), "", fmt.Sprintf("the face that meets at joint %q", s.JointName(k)))
	c.at = at
}

// seat checks that what needs measured heights is not asked of planes.
func (c *checker) seat(j *Joint) {
	if !j.SeatOnPoints {
		c.refuse(j.Interpolate, fault.ErrConflict, "/interpolate", "seat \"points\": planes need no stations", "true")
		c.refuse(j.Flatten != 0, fault.ErrConflict, "/flatten", "seat \"points\": planes have no bow", "%v", j.Flatten)
	}
}

// yielding checks a seat that gives under its bolts.
func (c *checker) yielding(j *Joint) {
	if j.Yield == nil {
		return
	}
	c.refuse(!j.SeatOnPoints, fault.ErrConflict, "/yielding", "seat \"points\": a yielding seat needs measured heights", "")
	loads, bolts := len(j.Yield.BoltLoads), len(j.Bolts)
	c.refuse(bolts == 0 || loads != 1 && loads != bolts, fault.ErrMissing, "/yielding/bolt_loads", "one for each bolt, or one for all, and at least one bolt", "%d loads for %d bolts", loads, bolts)
}

// register checks what centres two faces on each other, and reports whether that is a pilot.
func (c *checker) register(j *Joint, a, b *Face) bool {
	piloted, ring := a.Pilot != nil && b.Pilot != nil, j.RegisterRing
	c.refuse(ring.Given && !(piloted && a.Pilot.Kind == PilotBore && b.Pilot.Kind == PilotBore), fault.ErrConflict, "/register_ring", "a pilot of kind \"bore\" on both faces", "%v", ring.Value)
	c.pins(j, a, b)
	pilot := piloted && (a.Pilot.Kind != b.Pilot.Kind || ring.Given)
	switch {
	case j.Rules != RulesPilot:
	case !pilot:
		c.add(fault.ErrConflict, "/rules", strconv.Quote("pilot"), "a spigot and a bore on the two faces")
	case !j.Engagement.Given || j.Engagement.Value == 0:
		c.add(fault.ErrMissing, "/engagement", "", "an engagement above 0 for rules \"pilot\"")
	case !a.Diameter.Given && !b.Diameter.Given:
		c.add(fault.ErrMissing, "/rules", strconv.Quote("pilot"), "the outer diameter of a face for rules \"pilot\"")
	}
	return pilot
}

func (c *checker) pins(j *Joint, a, b *Face) {
	named := func(d *Dowel) string { return d.Name }
	inA, inB := namesOf(a.Dowels, named), namesOf(b.Dowels, named)
	used := map[string]bool{}
	c.each("/pins", len(j.Pins), func(i int) {
		p := &j.Pins[i]
		if c.known("/dowel", "dowel hole on the front part's face", p.Dowel, inA) {
			c.known("/dowel", "dowel hole on both faces", p.Dowel, inB)
		}
		c.refuse(used[p.Dowel], fault.ErrRepeated, "/dowel", "one pin in a hole", "%q", p.Dowel)
		used[p.Dowel] = true
		n := p.Locates
		c.refuse(n.Given && !(n.Value.Size() > 0 && n.Value.Size() < math.MaxFloat64), fault.ErrOutOfRange, "/locates", "a direction, not zero", "[%v, %v]", n.Value.X, n.Value.Y)
	})
}

// fullPins is how many pins hold in every direction.
func (j *Joint) fullPins() (n int) {
	for i := range j.Pins {
		if !j.Pins[i].Locates.Given {
			n++
		}
	}
	return n
}

// located checks that something holds the shift and the turn of a joint.
func (c *checker) located(j *Joint, fa, fb *mountedFace, pins []pinHoles, pilot bool) {
	bolts := j.boltsHold(pilot, j.fullPins())
	if bolts && len(j.Bolts) == 0 {
		c.add(fault.ErrMissing, "/bolts", "", "the bolts that bolt_clearance is about")
		return
	}
	if !pilot && !bolts && len(j.Pins) < 2 {
		c.add(fault.ErrNotLocated, "", fmt.Sprintf("%d pins, no pilot, no bolt clearance", len(j.Pins)), "a spigot in a bore, pins in two dowel holes, a pin and a flatted pin, or bolts with bolt_clearance")
		return
	}
	var seat seating
	if err := seat.seat(j, fa, fb, pins); err != nil {
		c.add(fault.ErrConflict, "/seat", strconv.Quote("points"), "stations that pair, round the clamping centroid: "+err.Error())
		return
	}
	if !seat.set.Turns && pilot {
		return
	}
	if !seat.set.Bounded(pilot) {
		c.add(fault.ErrNotLocated, "", "pins or bolts that leave a way to move", "dowels at distinct places, or a flatted pin that holds square to the line from the other locator")
	}
}
