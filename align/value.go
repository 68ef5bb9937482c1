package align

import (
	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/shaftline"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/tolerance"
)

// outputValue is an output at the present floats; +Inf for a use without any line.
func (k *kernel) outputValue(r *outputAt) (float64, error) { return r.value(k, r) }

func (k *kernel) margin(*outputAt) (float64, error) { return k.line.Margin() }

func (k *kernel) use(*outputAt) (float64, error) { return k.line.Utilisation() }

func (k *kernel) gap(r *outputAt) (float64, error) { return k.seats[r.index].gap, nil }

func (k *kernel) turn(r *outputAt) (float64, error) { return -k.floats[r.index].G, nil }

func (k *kernel) chainLength(r *outputAt) (float64, error) { return k.chain(r.index), nil }

func (k *kernel) thicknessVariation(r *outputAt) (float64, error) {
	lo, hi, _ := thicknessSpread(k.stack.Parts[r.index].Rear.Thickness, &k.parts[r.index].faceRings[1])
	return hi - lo, nil
}

func (k *kernel) runningClearance(r *outputAt) (float64, error) {
	c, _ := k.clearance(r.index)
	return c, nil
}

func (k *kernel) assembles(r *outputAt) (float64, error) {
	for i, s := range k.seats {
		if (r.index < 0 || r.index == i) && s.set.Lack > 0 {
			return 0, nil
		}
	}
	return 1, nil
}

func (k *kernel) assemblyUse(r *outputAt) (float64, error) { return k.seats[r.index].set.Utilisation() }

// ofBore is a vector's length, or a component of it.
func (k *kernel) ofBore(r *outputAt) (float64, error) {
	var v [2]float64
	k.vector(r, v[:])
	if c := r.component; c > 0 {
		return v[c-1], nil
	}
	return dense.Length(v[0], v[1]), nil
}

// vector is the plane vector that an output measures, doubled for a TIR.
func (k *kernel) vector(r *outputAt, dst []float64) {
	at, line := k.axisAt(r.bore), k.reference(r.ref)
	if r.tilt {
		dst[0], dst[1] = line.tilt(&at)
		return
	}
	x, y := line.offset(&at)
	dst[0], dst[1] = r.times*x, r.times*y
}

// ends finds the least and greatest of an output over the floats, or those ends alone that are
// wanted.
func (o *over) ends(r *outputAt, want end) (lo, hi float64, err error) {
	rest, err := o.restValue(r)
	if err != nil || len(o.loose) == 0 || r.ends == nil {
		return rest, rest, err
	}
	return r.ends(o, r, want)
}

func (o *over) useEnds(_ *outputAt, want end) (lo, hi float64, err error) {
	return o.lineEnds(shaftline.ByUtilisation, want&lowEnd != 0, want&highEnd != 0)
}

func (o *over) marginEnds(_ *outputAt, want end) (lo, hi float64, err error) {
	best, worst, err := o.lineEnds(shaftline.ByMargin, want&highEnd != 0, want&lowEnd != 0)
	return -worst, -best, err
}

// lineEnds are the best and the worst use or lack of room, those that are wanted.
func (o *over) lineEnds(by shaftline.Measure, wantBest, wantWorst bool) (best, worst float64, err error) {
	rest, err := o.lineAtRest(by)
	if err == nil && wantBest {
		best, err = o.best(by, rest, o.spot)
	}
	if err == nil && wantWorst {
		worst, err = o.worst(by, rest)
	}
	return best, worst, err
}

func (o *over) turnEnds(r *outputAt, _ end) (lo, hi float64, err error) {
	for _, l := range o.loose {
		if l.joint == r.index && l.set.Turns {
			lo, hi, err = l.set.TurnRange()
			return -hi, -lo, err
		}
	}
	rest, err := o.restValue(r)
	return rest, rest, err
}

func (o *over) numberEnds(r *outputAt, _ end) (lo, hi float64, err error) { return o.scalarEnds(r) }

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
	if r.component > 0 && len(o.loose) > 0 {
		return o.scalarEnds(r)
	}
	return o.ends(r, want)
}
