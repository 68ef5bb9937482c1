package advise

import (
	"fmt"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Correction is one change to a stack. Which fields count depends on the kind; the zero value changes nothing.
type Correction struct {
	Kind  Kind
	Place string // Swap, TurnOver, Reclock: part; cuts: "part/front" or "part/rear", as measured; Sleeve, Bush: "part/bore"; the others: joint; Push: empty

	// By is the thickness of a shim at its thinnest place, the depth of a cut at its shallowest, or the move of a bore, of the offset end of the dowels, or of the part in its float.
	By tolerance.Length
	// Clock is the direction: where a cut is deepest or a shim thickest, or towards which the bore, the dowels' rear end or the part moves. On the part as measured for cuts and bores, on the front part of the joint for the others.
	Clock   tolerance.Angle
	Rise    tolerance.Length // of a wedge: deepest less shallowest, or thickest less thinnest, across Across
	Across  tolerance.Length
	Turn    tolerance.Angle // Reclock: clockwise seen from the tail; Redowel: from where the joint rests
	Part    int             // Swap: which of the place's candidates
	Redrill bool            // Reclock: the dowel holes of the part are drilled anew, where the neighbours' holes are
	Replace bool            // Shim, TaperShim: in place of the gasket that is there, not beside it
	Floats  []JointFloat    // Push: where every joint that can move is held
}

// JointFloat is where a joint is held.
type JointFloat struct {
	Joint string
	Float align.Float
}

// Apply returns the stack with the correction carried out exactly. The stack that was given is not changed; its candidates are kept. It returns [ErrNotPossible] and why, or the fault of the place.
func (c Correction) Apply(s align.Stack) (align.Stack, error) {
	if len(s.Parts) == 0 {
		return align.Stack{}, s.Validate()
	}
	if c.Kind > Push {
		return align.Stack{}, fault.At("kind", c.Kind.String(), "one of the kinds", fault.ErrOutOfRange)
	}
	s = s.Clone()
	if apply := c.Kind.trait().apply; apply != nil {
		if err := apply(c, &s); err != nil {
			return align.Stack{}, err
		}
	}
	return s, nil
}

// onPart makes a change of the part that a correction names, by its index, one of the stack.
func onPart(do func(c Correction, s *align.Stack, i int) error) func(Correction, *align.Stack) error {
	return func(c Correction, s *align.Stack) error {
		if i := partNamed(s, c.Place); i >= 0 {
			return do(c, s, i)
		}
		return c.unknown("a part of the stack")
	}
}

// onJoint does the same with a joint.
func onJoint(do func(c Correction, s *align.Stack, k int) error) func(Correction, *align.Stack) error {
	return func(c Correction, s *align.Stack) error {
		if k := jointNamed(s, c.Place); k >= 0 {
			return do(c, s, k)
		}
		return c.unknown("a joint of the stack")
	}
}

// partNamed is the index of a part; -1 where there is none of that name.
func partNamed(s *align.Stack, name string) int {
	return slices.IndexFunc(s.Parts, func(p align.Part) bool { return p.Name == name })
}

// jointNamed is the index of a joint; -1 where there is none of that name.
func jointNamed(s *align.Stack, name string) int {
	for k := range s.Joints {
		if s.JointName(k) == name {
			return k
		}
	}
	return -1
}

func (c Correction) unknown(want string) error {
	return fault.At(c.Kind.String(), fmt.Sprintf("%q", c.Place), want, fault.ErrUnknownName)
}

// impossible says why a correction cannot be carried out.
func (c Correction) impossible(format string, args ...any) error {
	return fmt.Errorf("%s: %s: %w", c.title(), fmt.Sprintf(format, args...), ErrNotPossible)
}

// title names a correction: "skim by a wedge of plate/rear".
func (c Correction) title() string { return c.Kind.String() + spell.If(c.Place != "", " of "+c.Place) }

// candidate is the name of the part that is put in.
func (c Correction) candidate(s *align.Stack) string {
	for _, k := range s.Candidates {
		if k.Place == c.Place && c.Part < len(k.Parts) {
			return k.Parts[c.Part].Name
		}
	}
	return ""
}

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

// swap puts a candidate in its place.
func (c Correction) swap(s *align.Stack) error {
	out, err := s.WithCandidate(c.Place, c.Part)
	if err == nil {
		out.Candidates = s.Candidates
		*s = out
	}
	return err
}

// turnOver mounts a part end for end.
func (c Correction) turnOver(s *align.Stack, i int) error {
	s.Parts[i].Turned = !s.Parts[i].Turned
	return nil
}

// shim adds a shim, or puts it in place of the gasket. By is its thickness at the thinnest place.
func (c Correction) shim(s *align.Stack, k int) error {
	j := &s.Joints[k]
	g := align.Gasket{}
	if j.Gasket != nil && !c.Replace {
		g = *j.Gasket
	}
	w := c.wedge()
	g.Thickness += c.By + c.Rise/2
	g.Slope.X += w.X
	g.Slope.Y += w.Y
	j.Gasket = &g
	return nil
}

// offsetDowels gives every full pin of the joint the same step. A flatted pin locates along one direction alone, and is offset with the others.
func (c Correction) offsetDowels(s *align.Stack, k int) error {
	j := &s.Joints[k]
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
		k := jointNamed(s, f.Joint)
		if k < 0 {
			return Correction{Kind: Push, Place: f.Joint}.unknown("a joint of the stack")
		}
		s.Joints[k].Float = &f.Float
	}
	return nil
}
