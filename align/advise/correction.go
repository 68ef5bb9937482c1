package advise

import (
	"fmt"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Kind is a kind of correction. The zero value leaves the box alone.
type Kind uint8

// The kinds, in the order in which a pair of them is carried out: parts first, then cuts, then what is fitted, then what is done in place.
const (
	Leave        Kind = iota
	Swap              // another part in its place
	TurnOver          // a part end for end
	Reclock           // a part turned by steps of its hole pattern
	Skim              // a face, parallel
	SkimWedge         // a face, by a wedge
	Sleeve            // bore a support bore off centre and sleeve it
	Bush              // a bush bored off centre in a support bore
	Shim              // a parallel shim or gasket in a joint
	TaperShim         // a tapered shim in a joint
	OffsetDowels      // the dowels of a joint by offset ones
	Redowel           // set a joint in place by dial, then ream and dowel it there
	Push              // push the parts within their float before tightening
)

// String names the kind.
func (k Kind) String() string {
	names := [...]string{
		"leave alone", "another part", "turn end for end", "re-clock", "skim parallel", "skim by a wedge", "bore and sleeve", "bush off centre",
		"shim", "tapered shim", "offset dowels", "ream and re-dowel in place", "push before tightening",
	}
	if int(k) < len(names) {
		return names[k]
	}
	return fmt.Sprintf("kind %d", uint8(k))
}

// effort orders the kinds by how much work and risk they are.
//
// Source: common practice, no published source.
func (k Kind) effort() int {
	return [...]int{0, 3, 2, 2, 6, 7, 9, 8, 3, 5, 4, 7, 1}[k]
}

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
	s = s.Clone()
	var err error
	switch c.Kind {
	case Leave:
	case Swap:
		s, err = c.swap(s)
	case TurnOver:
		err = c.onPart(&s, func(i int) error { s.Parts[i].Turned = !s.Parts[i].Turned; return nil })
	case Reclock:
		err = c.onPart(&s, func(i int) error { return c.reclock(&s, i) })
	case Skim, SkimWedge:
		err = c.skim(&s)
	case Sleeve, Bush:
		err = c.moveBore(&s)
	case Shim, TaperShim:
		err = c.onJoint(&s, func(k int) error { c.shim(&s.Joints[k]); return nil })
	case OffsetDowels:
		err = c.onJoint(&s, func(k int) error { return c.offsetDowels(&s.Joints[k]) })
	case Redowel:
		err = c.onJoint(&s, func(k int) error { return c.redowel(&s, k) })
	case Push:
		err = c.push(&s)
	default:
		err = fault.At("kind", c.Kind.String(), "one of the kinds", fault.ErrOutOfRange)
	}
	if err != nil {
		return align.Stack{}, err
	}
	return s, nil
}

// onPart does do with the index of the part that the place names.
func (c Correction) onPart(s *align.Stack, do func(int) error) error {
	for i := range s.Parts {
		if s.Parts[i].Name == c.Place {
			return do(i)
		}
	}
	return c.unknown("a part of the stack")
}

// onJoint does do with the index of the joint that the place names.
func (c Correction) onJoint(s *align.Stack, do func(int) error) error {
	for k := range s.Joints {
		if s.JointName(k) == c.Place {
			return do(k)
		}
	}
	return c.unknown("a joint of the stack")
}

func (c Correction) unknown(want string) error {
	return fault.At(c.Kind.String(), fmt.Sprintf("%q", c.Place), want, fault.ErrUnknownName)
}

// impossible says why a correction cannot be carried out.
func (c Correction) impossible(format string, args ...any) error {
	return fmt.Errorf("%s of %s: %s: %w", c.Kind, c.Place, fmt.Sprintf(format, args...), ErrNotPossible)
}

// swap puts a candidate in its place.
func (c Correction) swap(s align.Stack) (align.Stack, error) {
	out, err := s.WithCandidate(c.Place, c.Part)
	if err == nil {
		out.Candidates = s.Candidates
	}
	return out, err
}
