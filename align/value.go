package align

import "example.com/borestack/align/internal/dense"

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
