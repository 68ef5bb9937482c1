package align

import (
	"fmt"
	"slices"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// outputAt is an output resolved to indices.
type outputAt struct {
	Output
	bore  boreAt
	ref   int
	index int // joint, part, chain, mesh or holder of circles; -1: all joints
}

// resolve finds what an output asks for.
func (k *kernel) resolve(o Output) (outputAt, error) {
	r := outputAt{Output: o, index: -1}
	kind, names := k.stack.Askable(o.What)
	switch {
	case kind == "":
		return r, &fault.FieldError{Path: "/kind", Value: fmt.Sprint(uint8(o.What)), Want: "one of the quantities", Err: fault.ErrOutOfRange}
	case kind == shaftLineKind:
		if len(k.stack.Shafts) == 0 {
			return r, &fault.FieldError{Path: "/kind", Value: kind, Want: "a stack with shafts", Err: fault.ErrMissing}
		}
		return r, nil
	case o.What == Assembles && o.Of == "":
		return r, nil
	}
	if r.index = slices.Index(names, o.Of); r.index < 0 || o.Of == "" {
		want := "the name of a " + kind
		if near, ok := tolerance.Nearest(o.Of, slices.DeleteFunc(names, func(s string) bool { return s == "" })); ok {
			want = fmt.Sprintf("%q, or another %s of the stack", near, kind)
		}
		return r, &fault.FieldError{Path: "/of", Value: fmt.Sprintf("%q", o.Of), Want: want, Err: fault.ErrUnknownName}
	}
	if !r.ofBore() {
		return r, nil
	}
	r.bore, r.index = boreOf(&k.stack, o.Of), -1
	if o.From != "" {
		r.ref = slices.IndexFunc(k.stack.References, func(q Reference) bool { return q.Name == o.From })
	}
	if r.ref < 0 || r.ref >= len(k.lay.refs) {
		return r, &fault.FieldError{Path: "/from", Value: fmt.Sprintf("%q", o.From), Want: "a reference of the stack", Err: fault.ErrUnknownName}
	}
	return r, nil
}

// aboutQuantity is what a quantity is measured on, and how.
type aboutQuantity struct {
	kind      string  // of what it is asked; empty: no quantity
	scale     float64 // of a bore from a reference: how many offsets or slopes make it; 0: of something else
	tilt      bool    // about its axis rather than its centre
	component int     // 1 along x, 2 along y; 0: the size
}

// shaftLineKind is what use and margin are of.
const shaftLineKind = "shaft line"

// aboutQuantities is the one table of quantities here; their words are in internal/quantity.
var aboutQuantities = [...]aboutQuantity{
	Margin:             {kind: shaftLineKind},
	Use:                {kind: shaftLineKind},
	OffsetSize:         {kind: "bore", scale: 1},
	TIRSize:            {kind: "bore", scale: 2},
	TiltSize:           {kind: "bore", scale: 1, tilt: true},
	OffsetX:            {kind: "bore", scale: 1, component: 1},
	OffsetY:            {kind: "bore", scale: 1, component: 2},
	TiltX:              {kind: "bore", scale: 1, tilt: true, component: 1},
	TiltY:              {kind: "bore", scale: 1, tilt: true, component: 2},
	GapSize:            {kind: "joint"},
	TurnAngle:          {kind: "joint"},
	Assembles:          {kind: "joint"},
	ThicknessVariation: {kind: "part with thickness readings"},
	InPlane:            {kind: "mesh"},
	OutOfPlane:         {kind: "mesh"},
	ChainLength:        {kind: "chain"},
	RunningClearance:   {kind: "support or pocket"},
	SideForce:          {kind: "support or pocket"},
}

// about is what is known of the quantity that an output asks for.
func (o *Output) about() (a aboutQuantity) {
	if int(o.What) < len(aboutQuantities) {
		a = aboutQuantities[o.What]
	}
	return a
}

// Askable lists what an output of a quantity may be of, by index, with an empty name where it may
// not, and what that is called: a bore, a joint. The kind is empty for what is no quantity.
func (s *Stack) Askable(what Quantity) (kind string, names []string) {
	o := Output{What: what}
	switch kind = o.about().kind; {
	case o.ofBore():
		names = boreNames(s.Parts)
	case kind == "joint":
		for i := range s.Joints {
			names = append(names, s.JointName(i))
		}
	case o.What == ThicknessVariation:
		names = make([]string, len(s.Parts))
		for i := range s.Parts {
			if f := s.Parts[i].Rear; f != nil && f.Thickness != nil {
				names[i] = s.Parts[i].Name
			}
		}
	case o.What == ChainLength:
		names = namesOf(s.Chains, func(c *Chain) string { return c.Name })
	case kind == "mesh":
		names = namesOf(s.Meshes, func(m *Mesh) string { return m.Name })
	case kind == "support or pocket":
		for i := range s.Shafts {
			names = append(names, namesOf(s.Shafts[i].Supports, func(b *Support) string { return b.Bore })...)
		}
		if o.What == SideForce {
			names = append(names, namesOf(s.Pockets, func(p *Pocket) string { return p.Name })...)
		}
	}
	return kind, names
}

// tilts reports whether an output is about an axis rather than a centre.
func (o *Output) tilts() bool { return o.about().tilt }

// scale is how many offsets make the output.
func (o *Output) scale() float64 { return o.about().scale }

// ofBore reports whether an output is about a bore from a reference.
func (o *Output) ofBore() bool { return o.about().scale > 0 }
