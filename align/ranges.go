package align

import (
	"fmt"
	"math"
	"slices"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/shaftline"
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
	kind, names := k.askable(o.What)
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

// askable lists what an output of a quantity may be of, by index, an empty name where it may not;
// the kind is empty for what is no quantity.
func (k *kernel) askable(what Quantity) (kind string, names []string) {
	s := &k.stack
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
		for i := range s.Chains {
			names = append(names, s.Chains[i].Name)
		}
		return "chain", names
	case SideForce, RunningClearance:
		for i := range k.lay.supports {
			names = append(names, k.support(i).Bore)
		}
		for i := range s.Pockets {
			if what == SideForce {
				names = append(names, s.Pockets[i].Name)
			}
		}
		return "support or pocket", names
	case InPlane, OutOfPlane:
		for i := range s.Meshes {
			names = append(names, s.Meshes[i].Name)
		}
		return "mesh", names
	}
	return "", nil
}

// value is an output at the present floats; +Inf for a use without any line.
func (k *kernel) outputValue(r *outputAt) (float64, error) {
	switch r.What {
	case Margin:
		return k.line.Margin()
	case Use:
		return k.line.Utilisation()
	case OffsetSize, TIRSize, TiltSize, OffsetX, OffsetY, TiltX, TiltY:
		var v [2]float64
		k.vector(r, v[:])
		switch r.What {
		case OffsetX, TiltX:
			return v[0], nil
		case OffsetY, TiltY:
			return v[1], nil
		}
		return dense.Length(v[0], v[1]), nil
	case GapSize:
		return k.seats[r.index].gap, nil
	case TurnAngle:
		return -k.floats[r.index].G, nil
	case ThicknessVariation:
		m := &k.parts[r.index]
		lo, hi, _ := thicknessSpread(k.stack.Parts[r.index].Rear.Thickness, &m.faceRings[1])
		return hi - lo, nil
	case ChainLength:
		return k.chain(r.index), nil
	case InPlane, OutOfPlane:
		return k.meshDeviation(r)
	case SideForce:
		return k.sideForce(r.index)
	case RunningClearance:
		c, _ := k.clearance(r.index)
		return c, nil
	}
	// Assembles
	for i, s := range k.seats {
		if (r.index < 0 || r.index == i) && s.set.Lack > 0 {
			return 0, nil
		}
	}
	return 1, nil
}

// vector is the plane vector that an output measures, doubled for a TIR.
func (k *kernel) vector(r *outputAt, dst []float64) {
	at, line := k.axisAt(r.bore), k.reference(r.ref)
	if r.tilts() {
		dst[0], dst[1] = line.tilt(&at)
		return
	}
	x, y := line.offset(&at)
	dst[0], dst[1] = r.scale()*x, r.scale()*y
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

// end says which ends of a range are wanted.
type end uint8

const (
	lowEnd  end = 1
	highEnd end = 2
)

// ends finds the least and greatest of an output over the floats, or those ends alone that are wanted; the joints are left where they rest.
func (k *kernel) ends(o *over, r *outputAt, want end) (lo, hi float64, err error) {
	rest, err := o.restValue(r)
	if err != nil || len(o.loose) == 0 {
		return rest, rest, err
	}
	switch r.What {
	case Margin, Use:
		by, best, worst := shaftline.ByUtilisation, lowEnd, highEnd
		if r.What == Margin {
			by, best, worst = shaftline.ByMargin, highEnd, lowEnd
			rest = -rest
		}
		if want&best != 0 {
			if lo, err = o.best(by, rest, o.spot); err != nil {
				return 0, 0, err
			}
		}
		if want&worst != 0 {
			if hi, err = o.worst(by, rest); err != nil {
				return 0, 0, err
			}
		}
		if by == shaftline.ByMargin {
			lo, hi = -hi, -lo
		}
	case OffsetSize, TIRSize, TiltSize:
		lo, hi, err = o.sizeEnds(r, want)
	case TurnAngle:
		lo, hi = rest, rest
		for _, l := range o.loose {
			if l.joint == r.index && l.set.Turns {
				a, b, e := l.set.TurnRange()
				lo, hi, err = -b, -a, e
			}
		}
	case InPlane, OutOfPlane, ChainLength:
		lo, hi, err = o.scalarEnds(r)
	default:
		lo, hi = rest, rest
	}
	o.rest(o.trial)
	k.placeAt(o.trial)
	return lo, hi, err
}

// restValue is an output where the joints rest; use and margin are worked out once a box.
func (o *over) restValue(r *outputAt) (float64, error) {
	by, sign := shaftline.ByUtilisation, 1.0
	switch r.What {
	case Margin:
		by, sign = shaftline.ByMargin, -1
	case Use:
	default:
		return o.k.outputValue(r)
	}
	if !o.rested[by] {
		v, err := o.k.value(by)
		if err != nil {
			return v, err
		}
		o.atRest[by], o.rested[by] = v, true
	}
	return sign * o.atRest[by], nil
}

// Range works out an output at rest and its ends over the float of all joints together, in the output's base unit. It returns an error for a name that the stack does not have.
func (a *Assembly) Range(out Output) (Range, error) {
	k, err := workOut(a.stack)
	if err != nil {
		return Range{}, err
	}
	return k.rangeOf(out)
}

func (k *kernel) rangeOf(out Output) (Range, error) {
	r, err := k.resolve(out)
	if err != nil {
		return Range{}, err
	}
	o := k.newOver()
	rest, err := k.outputValue(&r)
	if err != nil {
		return Range{}, err
	}
	lo, hi, err := k.ends(o, &r, lowEnd|highEnd)
	if err != nil {
		return Range{}, err
	}
	optional := func(v float64) tolerance.Optional[float64] {
		if math.IsInf(v, 0) || math.IsNaN(v) {
			return tolerance.Optional[float64]{}
		}
		return tolerance.Given(v)
	}
	return Range{optional(rest), optional(lo), optional(hi), len(o.loose) > 0}, nil
}
