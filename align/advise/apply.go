package advise

import (
	"math"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// towards is the vector of that length in the direction of a clock angle.
func towards(by tolerance.Length, clock tolerance.Angle) align.Vec2 {
	sn, cs := math.Sincos(float64(clock))
	return align.Vec2{X: by * tolerance.Length(sn), Y: by * tolerance.Length(cs)}
}

// wedge is the slope that rises by Rise across Across towards Clock.
func (c Correction) wedge() align.Slope {
	if c.Across <= 0 {
		return align.Slope{}
	}
	v := towards(c.Rise, c.Clock)
	return align.Slope{X: float64(v.X / c.Across), Y: float64(v.Y / c.Across)}
}

// shim adds a shim, or puts it in place of the gasket. By is its thickness at the thinnest place.
func (c Correction) shim(j *align.Joint) {
	g := align.Gasket{}
	if j.Gasket != nil && !c.Replace {
		g = *j.Gasket
	}
	w := c.wedge()
	g.Thickness += c.By + c.Rise/2
	g.Slope.X += w.X
	g.Slope.Y += w.Y
	j.Gasket = &g
}

// offsetDowels gives every full pin of the joint the same step. A flatted pin locates along one direction alone, and is offset with the others.
func (c Correction) offsetDowels(j *align.Joint) error {
	if len(j.Pins) == 0 {
		return c.impossible("the joint has no dowels")
	}
	for i := range j.Pins {
		j.Pins[i].Step = towards(c.By, c.Clock)
	}
	return nil
}

// push holds joints where they were pushed.
func (c Correction) push(s *align.Stack) error {
	for _, f := range c.Floats {
		at := Correction{Kind: Push, Place: f.Joint}
		if err := at.onJoint(s, func(k int) error { v := f.Float; s.Joints[k].Float = &v; return nil }); err != nil {
			return err
		}
	}
	return nil
}
