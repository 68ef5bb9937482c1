package align

import (
	"math"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/floatset"
)

// Of the search for a longest or shortest vector, followed again from where it was found: how often
// at most, and the gain, in mm, below which it ends.
const (
	polishes = 8
	polished = 1e-12
)

// followNumber makes an output that is one number follow the floats about the floats at.
func (o *over) followNumber(r *outputAt, at []floatset.Vec) {
	switch c := r.component; {
	case r.What == ChainLength:
		o.followChain(r.index, at)
	case c > 0:
		o.followVector(r, at)
		o.values[0] = o.values[c-1]
		copy(o.derivatives(0), o.derivatives(c-1))
	default:
		o.followMesh(r, at)
	}
}

// scalarEnds finds the least and greatest of an output that is one number over the floats.
func (o *over) scalarEnds(r *outputAt) (lo, hi float64, err error) {
	o.rest(o.spot)
	o.followNumber(r, o.spot)
	lo, hi = o.values[0], o.values[0]
	for _, sign := range [2]float64{-1, 1} {
		if err := o.push(o.trial, sign); err != nil {
			return 0, 0, err
		}
		o.put(o.trial)
		v, err := o.k.outputValue(r)
		if err != nil {
			return 0, 0, err
		}
		lo, hi = math.Min(lo, v), math.Max(hi, v)
	}
	return lo, hi, nil
}

// castVector makes the shadow that of the vector that was followed last.
func (o *over) castVector() *shadow {
	s, n := &o.shadow, 3*len(o.loose)
	s.reset(o)
	s.x, s.y = o.values[0], o.values[1]
	copy(s.gx, o.deriv[:n])
	copy(s.gy, o.deriv[n:2*n])
	return s
}

// sizeEnds finds the least and greatest length over the floats of the vector that an output
// measures, each worked out in full at the floats found.
func (o *over) sizeEnds(r *outputAt, want end) (lo, hi float64, err error) {
	o.rest(o.spot)
	o.followVector(r, o.spot)
	rest := dense.Length(o.values[0], o.values[1])
	if want&highEnd != 0 {
		if _, err := o.castVector().longest(rest, sure); err != nil {
			return 0, 0, err
		}
		o.putTop(o.spot)
		if hi, err = o.longestSize(r); err != nil {
			return 0, 0, err
		}
		hi = math.Max(rest, hi)
	}
	if want&lowEnd != 0 {
		o.rest(o.spot)
		lo, err = o.leastSize(r)
	}
	return lo, hi, err
}

// longestSize is the length of the vector at the floats in spot, followed there again and pushed
// along itself as long as that is felt.
func (o *over) longestSize(r *outputAt) (float64, error) {
	end := math.Inf(-1)
	for range polishes {
		o.followVector(r, o.spot)
		x, y := o.values[0], o.values[1]
		size := dense.Length(x, y)
		felt := size - end
		if !(felt > 0) {
			break
		}
		end = size
		if felt <= polished || size == 0 {
			break
		}
		if err := o.push(o.spot, x/size, y/size); err != nil {
			return 0, err
		}
	}
	return end, nil
}

// leastSize is the least length of the vector from the floats in spot on, followed again where it
// was found as long as that is felt.
func (o *over) leastSize(r *outputAt) (float64, error) {
	least := math.Inf(1)
	for range polishes {
		o.followVector(r, o.spot)
		felt := least - dense.Length(o.values[0], o.values[1])
		least = math.Min(least, dense.Length(o.values[0], o.values[1]))
		if felt <= polished || least == 0 {
			break
		}
		if _, err := o.castVector().nearest(); err != nil {
			return 0, err
		}
		o.putTop(o.spot)
	}
	return least, nil
}
