package align

import (
	"example.com/borestack/align/internal/shaftline"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/tolerance"
)

// ends finds the least and greatest of an output over the floats, or those ends alone that are
// wanted.
func (o *over) ends(r *outputAt, want end) (lo, hi float64, err error) {
	rest, err := o.restValue(r)
	if err != nil || len(o.loose) == 0 {
		return rest, rest, err
	}
	switch r.What {
	case Use:
		return o.lineEnds(shaftline.ByUtilisation, rest, want&lowEnd != 0, want&highEnd != 0)
	case Margin: // the other way round as lack of room
		lo, hi, err = o.lineEnds(shaftline.ByMargin, -rest, want&highEnd != 0, want&lowEnd != 0)
		return -hi, -lo, err
	case OffsetSize, TIRSize, TiltSize:
		return o.sizeEnds(r, want)
	case InPlane, OutOfPlane, ChainLength:
		return o.scalarEnds(r)
	case TurnAngle:
		for _, l := range o.loose {
			if l.joint == r.index && l.set.Turns {
				lo, hi, err = l.set.TurnRange()
				return -hi, -lo, err
			}
		}
	}
	return rest, rest, nil
}

// lineEnds finds the least and the greatest use or lack of room over the floats, where they are
// wanted.
func (o *over) lineEnds(by shaftline.Measure, rest float64, best, worst bool) (lo, hi float64, err error) {
	if best {
		lo, err = o.best(by, rest, o.spot)
	}
	if worst && err == nil {
		hi, err = o.worst(by, rest)
	}
	return lo, hi, err
}

// restValue is an output where the joints rest.
func (o *over) restValue(r *outputAt) (float64, error) {
	switch r.What {
	case Margin:
		lack, err := o.lineAtRest(shaftline.ByMargin)
		return -lack, err
	case Use:
		return o.lineAtRest(shaftline.ByUtilisation)
	}
	o.putAtRest()
	return o.k.outputValue(r)
}

// Range works out an output at rest and its ends over the float of all joints together, in the
// output's base unit. It returns an error for a name that the stack does not have.
func (a *Assembly) Range(out Output) (Range, error) {
	k, err := workOut(a.stack)
	if err != nil {
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
	lo, hi, err := o.endsOf(&r, lowEnd|highEnd)
	if err != nil {
		return Range{}, err
	}
	optional := func(v float64) tolerance.Optional[float64] {
		if !ieee.Finite(v) {
			return tolerance.Optional[float64]{}
		}
		return tolerance.Given(v)
	}
	return Range{optional(rest), optional(lo), optional(hi), len(o.loose) > 0}, nil
}

// endsOf is ends, with those of the components that a sample of a plan has where the joints lie.
func (o *over) endsOf(r *outputAt, want end) (lo, hi float64, err error) {
	if r.about().component > 0 && len(o.loose) > 0 {
		return o.scalarEnds(r)
	}
	return o.ends(r, want)
}
