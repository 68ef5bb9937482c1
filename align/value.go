package align

import "example.com/borestack/align/internal/dense"

// outputValue is an output at the present floats; +Inf for a use without any line.
func (k *kernel) outputValue(r *outputAt) (float64, error) {
	if r.ofBore() {
		var v [2]float64
		k.vector(r, v[:])
		if c := r.about().component; c > 0 {
			return v[c-1], nil
		}
		return dense.Length(v[0], v[1]), nil
	}
	switch r.What {
	case Margin:
		return k.line.Margin()
	case Use:
		return k.line.Utilisation()
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

// end says which ends of a range are wanted.
type end uint8

const (
	lowEnd  end = 1
	highEnd end = 2
)
