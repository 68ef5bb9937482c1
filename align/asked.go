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
	if kind != boreKind {
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

// Kinds of what an output is of that resolve treats apart.
const (
	shaftLineKind = "shaft line"
	boreKind      = "bore"
)

// Askable lists what an output of a quantity may be of, by index, with an empty name where it may
// not, and what that is called: a bore, a joint. The kind is empty for what is no quantity.
func (s *Stack) Askable(what Quantity) (kind string, names []string) {
	switch what {
	case Margin, Use:
		return shaftLineKind, nil
	case OffsetSize, TIRSize, TiltSize, OffsetX, OffsetY, TiltX, TiltY:
		for i := range s.Parts {
			for n := range s.Parts[i].Bores {
				names = append(names, s.Parts[i].Name+"/"+s.Parts[i].Bores[n].Name)
			}
		}
		return boreKind, names
	case GapSize, TurnAngle, Assembles:
		for i := range s.Joints {
			names = append(names, s.JointName(i))
		}
		return "joint", names
	case ThicknessVariation:
		names = make([]string, len(s.Parts))
		for i := range s.Parts {
			if f := s.Parts[i].Rear; f != nil && f.Thickness != nil {
				names[i] = s.Parts[i].Name
			}
		}
		return "part with thickness readings", names
	case ChainLength:
		return "chain", namesOf(s.Chains, func(c *Chain) string { return c.Name })
	case SideForce, RunningClearance:
		for i := range s.Shafts {
			names = append(names, namesOf(s.Shafts[i].Supports, func(b *Support) string { return b.Bore })...)
		}
		if what == SideForce {
			names = append(names, namesOf(s.Pockets, func(p *Pocket) string { return p.Name })...)
		}
		return "support or pocket", names
	case InPlane, OutOfPlane:
		return "mesh", namesOf(s.Meshes, func(m *Mesh) string { return m.Name })
	}
	return "", nil
}

// tilts reports whether an output is about an axis rather than a centre.
func (r *outputAt) tilts() bool { return r.What == TiltSize || r.What == TiltX || r.What == TiltY }

// scale is how many offsets make the output.
func (r *outputAt) scale() float64 {
	if r.What == TIRSize {
		return 2
	}
	return 1
}

// ofBore reports whether an output is about a bore from a reference.
func (r *outputAt) ofBore() bool {
	switch r.What {
	case OffsetSize, TIRSize, OffsetX, OffsetY, TiltSize, TiltX, TiltY:
		return true
	}
	return false
}
