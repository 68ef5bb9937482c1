package align

import (
	"fmt"
	"slices"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// aboutQuantity is what a quantity is measured on, and how it is worked out: where the joints lie,
// over the floats, and in the columns of a plan.
type aboutQuantity struct {
	kind  string // of what it is asked; empty: no quantity
	names func(s *Stack) []string

	times     float64 // of a bore from a reference: how many offsets or slopes make it; 0: of something else
	tilt      bool    // about its axis rather than its centre
	component int     // 1 along x, 2 along y; 0: the size

	value  func(k *kernel, r *outputAt) (float64, error)                    // +Inf for a use without any line
	ends   func(o *over, r *outputAt, want end) (lo, hi float64, err error) // nil: no float moves it
	column func(c *columns, y []float64, r *outputAt)                       // nil: each sample's circles give it
}

// end says which ends of a range are wanted.
type end uint8

const (
	lowEnd  end = 1
	highEnd end = 2
)

// Kinds of what is asked of.
const (
	shaftLineKind = "shaft line"
	holderKind    = "support or pocket"
)

// aboutQuantities is the one table of quantities here; their words are in internal/quantity.
var aboutQuantities = [...]aboutQuantity{
	Margin:             {kind: shaftLineKind, value: (*kernel).margin, ends: (*over).marginEnds},
	Use:                {kind: shaftLineKind, value: (*kernel).use, ends: (*over).useEnds},
	OffsetSize:         sizeOf(1, false),
	TIRSize:            sizeOf(2, false),
	TiltSize:           sizeOf(1, true),
	OffsetX:            componentOf(1, false),
	OffsetY:            componentOf(2, false),
	TiltX:              componentOf(1, true),
	TiltY:              componentOf(2, true),
	GapSize:            {kind: "joint", names: (*Stack).jointNames, value: (*kernel).gap, column: (*columns).gap},
	TurnAngle:          {kind: "joint", names: (*Stack).jointNames, value: (*kernel).turn, ends: (*over).turnEnds, column: (*columns).turn},
	ThicknessVariation: {kind: "part with thickness readings", names: (*Stack).thicknessNames, value: (*kernel).thicknessVariation, column: (*columns).thickness},
	InPlane:            {kind: "mesh", names: (*Stack).meshNames, value: (*kernel).meshDeviation, ends: (*over).numberEnds, column: (*columns).mesh},
	OutOfPlane:         {kind: "mesh", names: (*Stack).meshNames, value: (*kernel).meshDeviation, ends: (*over).numberEnds, column: (*columns).mesh},
	ChainLength:        {kind: "chain", names: (*Stack).chainNames, value: (*kernel).chainLength, ends: (*over).numberEnds, column: (*columns).chain},
	RunningClearance:   {kind: holderKind, names: (*Stack).supportNames, value: (*kernel).runningClearance, column: (*columns).clearance},
	SideForce:          {kind: holderKind, names: (*Stack).holderNames, value: (*kernel).sideForce},
	Assembles:          {kind: "joint", names: (*Stack).jointNames, value: (*kernel).assembles, column: (*columns).assembles},
	AssemblyUse:        {kind: "joint", names: (*Stack).jointNames, value: (*kernel).assemblyUse, column: (*columns).assemblyUse},
}

// sizeOf is the length of a vector of a bore from a reference, times as long.
func sizeOf(times float64, tilt bool) aboutQuantity {
	return aboutQuantity{kind: "bore", names: (*Stack).boreNames, times: times, tilt: tilt, value: (*kernel).ofBore, ends: (*over).sizeEnds, column: (*columns).ofBore}
}

// componentOf is a component of such a vector. In samples of a plan it is taken where the joints
// lie; [over.endsOf] finds its ends.
func componentOf(component int, tilt bool) aboutQuantity {
	return aboutQuantity{kind: "bore", names: (*Stack).boreNames, times: 1, tilt: tilt, component: component, value: (*kernel).ofBore, column: (*columns).ofBore}
}

// about is what is known of a quantity; nothing of what is none.
func (q Quantity) about() *aboutQuantity {
	if int(q) >= len(aboutQuantities) {
		q = 0
	}
	return &aboutQuantities[q]
}

// outputAt is an output resolved to indices.
type outputAt struct {
	Output
	*aboutQuantity
	bore  boreAt
	ref   int
	index int // joint, part, chain, mesh or holder of circles; -1: all joints
}

// ofBore reports whether an output is about a bore from a reference.
func (r *outputAt) ofBore() bool { return r.times > 0 }

// resolve finds what an output asks for.
func (k *kernel) resolve(o Output) (outputAt, error) {
	r := outputAt{Output: o, aboutQuantity: o.What.about(), index: -1}
	wrong := func(path, value, want string, class error) (outputAt, error) {
		return r, fault.At(path, value, want, class)
	}
	switch {
	case r.kind == "":
		return wrong("/kind", fmt.Sprint(uint8(o.What)), "one of the quantities", fault.ErrOutOfRange)
	case r.kind == shaftLineKind && len(k.stack.Shafts) == 0:
		return wrong("/kind", r.kind, "a stack with shafts", fault.ErrMissing)
	case r.kind == shaftLineKind || o.What == Assembles && o.Of == "":
		return r, nil
	}
	names := r.names(&k.stack)
	if r.index = slices.Index(names, o.Of); r.index < 0 || o.Of == "" {
		want := "the name of a " + r.kind
		if near, ok := tolerance.Nearest(o.Of, slices.DeleteFunc(names, func(s string) bool { return s == "" })); ok {
			want = fmt.Sprintf("%q, or another %s of the stack", near, r.kind)
		}
		return wrong("/of", fmt.Sprintf("%q", o.Of), want, fault.ErrUnknownName)
	}
	if !r.ofBore() {
		return r, nil
	}
	r.bore, r.index = boreOf(&k.stack, o.Of), -1
	if o.From != "" {
		r.ref = slices.IndexFunc(k.stack.References, func(q Reference) bool { return q.Name == o.From })
	}
	if r.ref < 0 || r.ref >= len(k.lay.refs) {
		return wrong("/from", fmt.Sprintf("%q", o.From), "a reference of the stack", fault.ErrUnknownName)
	}
	return r, nil
}

// resolveAll finds what outputs ask for, with what is wrong with each.
func (k *kernel) resolveAll(out []Output) (list []outputAt, wrong []error) {
	for i := range out {
		r, err := k.resolve(out[i])
		if err != nil {
			wrong = append(wrong, fmt.Errorf("output %d: %w", i, err))
		}
		list = append(list, r)
	}
	return list, wrong
}

// Askable lists what an output of a quantity may be of, by index, with an empty name where it may
// not, and what that is called: a bore, a joint. The kind is empty for what is no quantity.
func (s *Stack) Askable(what Quantity) (kind string, names []string) {
	a := what.about()
	if a.names != nil {
		names = a.names(s)
	}
	return a.kind, names
}

func (s *Stack) boreNames() []string { return boreNames(s.Parts) }

func (s *Stack) jointNames() (names []string) {
	for i := range s.Joints {
		names = append(names, s.JointName(i))
	}
	return names
}

func (s *Stack) thicknessNames() []string {
	return namesOf(s.Parts, func(p *Part) string {
		if p.Rear == nil || p.Rear.Thickness == nil {
			return ""
		}
		return p.Name
	})
}

func (s *Stack) meshNames() []string {
	return namesOf(s.Meshes, func(m *Mesh) string { return m.Name })
}

func (s *Stack) chainNames() []string {
	return namesOf(s.Chains, func(c *Chain) string { return c.Name })
}

func (s *Stack) supportNames() (names []string) {
	for i := range s.Shafts {
		names = append(names, namesOf(s.Shafts[i].Supports, func(b *Support) string { return b.Bore })...)
	}
	return names
}

func (s *Stack) holderNames() []string {
	return append(s.supportNames(), namesOf(s.Pockets, func(p *Pocket) string { return p.Name })...)
}
