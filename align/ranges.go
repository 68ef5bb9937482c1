package align

import (
	"fmt"
	"math"
	"slices"
	"strings"

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
	missing := func(kind string, known []string) error {
		want := "the name of a " + kind
		if near, ok := tolerance.Nearest(o.Of, known); ok {
			want = fmt.Sprintf("%q, or another %s of the stack", near, kind)
		}
		return &fault.FieldError{Path: "/of", Value: fmt.Sprintf("%q", o.Of), Want: want, Err: fault.ErrUnknownName}
	}
	s := &k.stack
	var names []string
	switch o.What {
	case Margin, Use:
		if len(s.Shafts) == 0 {
			return r, &fault.FieldError{Path: "/kind", Value: "shaft line", Want: "a stack with shafts", Err: fault.ErrMissing}
		}
	case OffsetSize, TIRSize, TiltSize, OffsetX, OffsetY, TiltX, TiltY:
		p, b, _ := strings.Cut(o.Of, "/")
		r.bore = boreAt{-1, -1}
		for i := range s.Parts {
			for n := range s.Parts[i].Bores {
				names = append(names, s.Parts[i].Name+"/"+s.Parts[i].Bores[n].Name)
				if s.Parts[i].Name == p && s.Parts[i].Bores[n].Name == b {
					r.bore = boreAt{i, n}
				}
			}
		}
		if r.bore.part < 0 {
			return r, missing("bore", names)
		}
		if o.From != "" {
			r.ref = slices.IndexFunc(s.References, func(q Reference) bool { return q.Name == o.From })
		}
		if r.ref < 0 || r.ref >= len(k.lay.refs) {
			return r, &fault.FieldError{Path: "/from", Value: fmt.Sprintf("%q", o.From), Want: "a reference of the stack", Err: fault.ErrUnknownName}
		}
	case GapSize, TurnAngle, Assembles:
		for i := range s.Joints {
			names = append(names, s.JointName(i))
		}
		if o.Of == "" && o.What == Assembles {
			return r, nil
		}
		if r.index = slices.Index(names, o.Of); r.index < 0 {
			return r, missing("joint", names)
		}
	case ThicknessVariation:
		for i := range s.Parts {
			if s.Parts[i].Rear != nil && s.Parts[i].Rear.Thickness != nil {
				names = append(names, s.Parts[i].Name)
			}
			if s.Parts[i].Name == o.Of {
				r.index = i
			}
		}
		if !slices.Contains(names, o.Of) {
			return r, missing("part with thickness readings", names)
		}
	case ChainLength:
		for i := range s.Chains {
			names = append(names, s.Chains[i].Name)
		}
		if r.index = slices.Index(names, o.Of); r.index < 0 {
			return r, missing("chain", names)
		}
	case SideForce, RunningClearance:
		for i := range k.lay.supports {
			names = append(names, k.support(i).Bore)
		}
		if o.What == SideForce {
			for i := range s.Pockets {
				names = append(names, s.Pockets[i].Name)
			}
		}
		if r.index = slices.Index(names, o.Of); r.index < 0 {
			return r, missing("support or pocket", names)
		}
	case InPlane, OutOfPlane:
		for i := range s.Meshes {
			names = append(names, s.Meshes[i].Name)
		}
		if r.index = slices.Index(names, o.Of); r.index < 0 {
			return r, missing("mesh", names)
		}
	default:
		return r, &fault.FieldError{Path: "/kind", Value: fmt.Sprint(uint8(o.What)), Want: "one of the quantities", Err: fault.ErrOutOfRange}
	}
	return r, nil
}

// value is an output at the present floats; +Inf for a use without any line.
func (k *kernel) outputValue(r *outputAt) (float64, error) {
	switch r.What {
	case Margin:
		return k.line.Margin()
	case Use:
		return k.line.Utilisation()
	case OffsetSize, TIRSize, TiltSize:
		var v [2]float64
		k.vector(r, v[:])
		return dense.Length(v[0], v[1]), nil
	case OffsetX, OffsetY:
		x, y := k.offset(r.bore, r.ref)
		if r.What == OffsetY {
			x = y
		}
		return x, nil
	case TiltX, TiltY:
		x, y := k.tilt(r.bore, r.ref)
		if r.What == TiltY {
			x = y
		}
		return x, nil
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

// vector is the plane vector whose size an output asks for, doubled for a TIR.
func (k *kernel) vector(r *outputAt, dst []float64) {
	switch r.What {
	case OffsetSize:
		dst[0], dst[1] = k.offset(r.bore, r.ref)
	case TIRSize:
		x, y := k.offset(r.bore, r.ref)
		dst[0], dst[1] = 2*x, 2*y
	default:
		dst[0], dst[1] = k.tilt(r.bore, r.ref)
	}
}

// end says which ends of a range are wanted.
type end uint8

const (
	lowEnd  end = 1
	highEnd end = 2
)

// ends finds the least and greatest of an output over the floats, or those ends alone that are wanted.
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
		o.putAtRest()
		return o.k.outputValue(r)
	}
	if !o.rested[by] {
		v, err := o.lineAtRest(by)
		if err != nil {
			return v, err
		}
		o.atRest[by], o.rested[by] = v, true
	}
	return sign * o.atRest[by], nil
}

// Range works out an output at rest and its ends over the float of all joints together, in the output's base unit. It returns an error for a name that the stack does not have.
func (a *Assembly) Range(out Output) (Range, error) {
	k := newKernel(a.stack, newLayout(&a.stack))
	if err := k.solve(); err != nil {
		return Range{}, err
	}
	return k.newOver().rangeOf(out)
}

// rangeOf is the range of one output; the memory of over serves several.
func (o *over) rangeOf(out Output) (Range, error) {
	r, err := o.k.resolve(out)
	if err != nil {
		return Range{}, err
	}
	rest, err := o.restValue(&r)
	if err != nil {
		return Range{}, err
	}
	lo, hi := rest, rest
	switch r.What {
	case OffsetX, OffsetY, TiltX, TiltY: // a sample of a plan has them where the joints lie
		if len(o.loose) > 0 {
			lo, hi, err = o.scalarEnds(&r)
		}
	default:
		lo, hi, err = o.k.ends(o, &r, lowEnd|highEnd)
	}
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
