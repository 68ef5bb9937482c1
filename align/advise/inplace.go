package advise

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// reamedClearance is what a reamed hole leaves its pin, on diameter: a tenth of a micrometre, so that the second order of a turn (a hole 100 mm out, turned by 3e-4, moves 5 nm inwards) does not read as a foul.
const reamedClearance = 1e-4 * tolerance.Millimetre

// asMounted carries a point of a part from its frame as measured to its frame as mounted, and back: turning end for end is its own inverse.
func asMounted(p *align.Part, v align.Vec3, back bool) align.Vec3 {
	k := tolerance.Length(p.Growth())
	if back {
		k = 1 / k
	}
	v = align.Vec3{X: v.X * k, Y: v.Y * k, Z: v.Z * k}
	if p.Turned {
		v.X, v.Z = -v.X, -v.Z
	}
	return v
}

// transfer moves the hole of that name in part to, so that it meets that of its neighbour from in the front part's x and y, the parts where a has placed them: drilled or reamed through in place. It returns both.
func transfer(s *align.Stack, a *align.Assembly, name string, from, to int) (source, dest *align.Dowel, err error) {
	front := min(from, to)
	if source, err = holeOf(s, from, from == front, name); err != nil {
		return nil, nil, err
	}
	if dest, err = holeOf(s, to, to == front, name); err != nil {
		return nil, nil, err
	}
	planes := map[int]tilted{}
	for _, i := range []int{from, to} {
		if planes[i], err = planeOf(&s.Parts[i], (i == front) != s.Parts[i].Turned); err != nil {
			return nil, nil, err
		}
	}
	frontFromS := a.Placed[front].BaseFromPart.Inverse()
	place := func(i int, h *align.Dowel) align.Vec3 {
		at := align.Vec3{X: h.Centre.X, Y: h.Centre.Y, Z: planes[i].at(h.Centre.X, h.Centre.Y)}
		return frontFromS.Apply(a.Placed[i].BaseFromPart.Apply(asMounted(&s.Parts[i], at, false)))
	}
	for range 4 { // each round leaves the slope times what it moved
		p, q := place(from, source), place(to, dest)
		d := frontFromS.Inverse().Rotate(r3.Vec{X: float64(p.X - q.X), Y: float64(p.Y - q.Y)})
		d = a.Placed[to].BaseFromPart.Inverse().Rotate(d)
		own := asMounted(&s.Parts[to], align.Vec3{X: tolerance.Length(d.X), Y: tolerance.Length(d.Y)}, true)
		dest.Centre.X += own.X
		dest.Centre.Y += own.Y
	}
	return source, dest, nil
}

func holeOf(s *align.Stack, part int, rear bool, name string) (*align.Dowel, error) {
	if f := s.Parts[part].Facing(rear); f != nil {
		for i := range f.Dowels {
			if f.Dowels[i].Name == name {
				return &f.Dowels[i], nil
			}
		}
	}
	return nil, fault.At(s.Parts[part].Name, name, "a dowel hole of that name on the meeting face", fault.ErrUnknownName)
}

// redowel holds the joint moved by By towards Clock and turned by Turn from where it rests, then reams the holes through and fits new pins: nothing floats afterwards. The pins are as large as the largest of pin, holes and Across.
func (c Correction) redowel(s *align.Stack, k int) error {
	j := &s.Joints[k]
	if len(j.Pins) == 0 {
		return c.impossible("the joint has no dowels")
	}
	a, err := placed(*s)
	if err != nil {
		return err
	}
	f := a.Joints[k].Float
	v := towards(c.By, c.Clock)
	f.X += v.X
	f.Y += v.Y
	f.Turn += c.Turn
	if err := c.withinPilot(s, &a.Joints[k], k, f); err != nil {
		return err
	}
	j.Float = &f
	if a, err = placed(*s); err != nil {
		return err
	}
	for i := range j.Pins {
		p := &j.Pins[i]
		front, rear, err := transfer(s, a, p.Dowel, k, k+1)
		if err != nil {
			return err
		}
		p.Step = align.Vec2{}
		p.Diameter = max(p.Diameter, front.Diameter, rear.Diameter, c.Across)
		front.Diameter, rear.Diameter = p.Diameter+reamedClearance, p.Diameter+reamedClearance
	}
	return nil
}

// withinPilot refuses a float that the pilot does not allow: in its mouth and at its end.
func (c Correction) withinPilot(s *align.Stack, j *align.SeatedJoint, k int, f align.Float) error {
	if j.Pilot == nil {
		return nil
	}
	room := math.Max(float64(j.Pilot.Clearance)/2, 0)
	zeta := float64(s.Joints[k].Engagement.Or(0))
	if b := s.Parts[k+1].Facing(false); b != nil && b.Pilot != nil && b.Pilot.Kind == align.Spigot {
		zeta = -zeta
	}
	x, y := float64(f.X), float64(f.Y)
	if reach := math.Max(math.Hypot(x, y), math.Hypot(x+zeta*j.Pilot.Lean.X, y+zeta*j.Pilot.Lean.Y)); reach > room {
		return c.impossible("the pilot allows %v from its middle, this needs %v", tolerance.Length(room), tolerance.Length(reach))
	}
	return nil
}

// reclock turns part i by Turn and leaves the parts behind it as they were. With Redrill its dowel holes are drilled anew in place, the part set by its pilots.
func (c Correction) reclock(s *align.Stack, i int) error {
	if i == 0 {
		return c.impossible("the first part carries the frame")
	}
	last := i == len(s.Parts)-1
	s.Joints[i-1].Clock += c.Turn
	if !last {
		s.Joints[i].Clock -= c.Turn
	}
	if !c.Redrill {
		return nil
	}
	bare := s.Clone()
	for k := i - 1; k < min(i+1, len(s.Joints)); k++ {
		bare.Joints[k].Pins, bare.Joints[k].Float = nil, nil
	}
	a, err := placed(bare)
	if err != nil {
		return c.impossible("without its dowels: %v", err)
	}
	for _, p := range s.Joints[i-1].Pins {
		if _, _, err := transfer(s, a, p.Dowel, i-1, i); err != nil {
			return err
		}
	}
	if last {
		return nil
	}
	sn, cs := math.Sincos(float64(c.Turn))
	for n := range s.Joints[i].Pins {
		p := &s.Joints[i].Pins[n]
		if _, _, err := transfer(s, a, p.Dowel, i+1, i); err != nil {
			return err
		}
		// what is pressed in the part keeps its direction in the box: in the part's frame it goes back by the turn
		x, y := float64(p.Step.X), float64(p.Step.Y)
		p.Step = align.Vec2{X: tolerance.Length(cs*x - sn*y), Y: tolerance.Length(sn*x + cs*y)}
		if n := p.Locates.Value; p.Locates.Given {
			p.Locates.Value = align.Slope{X: cs*n.X - sn*n.Y, Y: sn*n.X + cs*n.Y}
		}
	}
	return nil
}
