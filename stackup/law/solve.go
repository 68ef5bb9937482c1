package law

import "math"

// solve finds the positive r at which a tail has a given share, by Newton's method on the logarithm of the tail, kept inside the bracket (0, high). The sign is +1 for a tail that grows with r and −1 for one that falls. The steps are taken on a scale of r on which the logarithm of the tail is near to a straight line. The density need not be exact.
func solve(tail, density func(float64) float64, share, sign, start, high float64, onScale func(r, change float64) float64) float64 {
	const (
		enough  = 200
		closest = 8 * 0x1p-52 // of a bracket, relative: what is left is noise
		settled = 1e-10       // an error of the logarithm whose step leaves nothing that matters
	)
	low, r := 0.0, start
	if !(r > 0 && r < high) {
		r = min(1, high/2)
	}
	for range enough {
		value := tail(r)
		if value == share {
			return r
		}
		if (value-share)*sign > 0 {
			high = r
		} else {
			low = r
		}
		missing := math.Log(share) - math.Log(value)
		change := missing * sign * value / density(r)
		next := onScale(r, change)
		inside := next > low && next < high
		if math.Abs(missing) <= settled || next == r || high-low <= closest*r {
			if inside {
				return next
			}
			return r
		}
		if !inside { // also when the tail or the density is 0
			next = low + (high-low)/2
			if high > 4*low {
				next = math.Sqrt(max(low, high*0x1p-16)) * math.Sqrt(high)
			}
			if next <= low || next >= high {
				return r
			}
		}
		r = next
	}
	return r
}

// logScale takes a step of log r: for a tail that is nearly a power.
func logScale(r, change float64) float64 { return r * math.Exp(change/r) }

// squareScale takes a step of r²: for a tail that is nearly normal.
func squareScale(r, change float64) float64 { return math.Sqrt(max(r*(r+2*change), 0)) }

// leastWhere returns the least number between low and high for which a condition holds that, once true, stays true as x grows; high when it holds for none below. The condition may depend on x by jumps, so the interval is halved: as floats are ordered, not as their values are, to reach infinite ends and the digits near 0.
func leastWhere(low, high float64, holds func(float64) bool) float64 {
	if !(low < high) || holds(low) {
		return low
	}
	a, b := ordinal(low), ordinal(high)
	for b-a > 1 {
		middle := a + (b-a)/2
		if holds(fromOrdinal(middle)) {
			b = middle
		} else {
			a = middle
		}
	}
	return fromOrdinal(b)
}

// signBit is that of a float64.
const signBit = 1 << 63

// ordinal numbers the floats in their order: neighbours differ by 1.
func ordinal(x float64) uint64 {
	word := math.Float64bits(x)
	if word&signBit != 0 {
		return ^word
	}
	return word | signBit
}

// fromOrdinal undoes ordinal.
func fromOrdinal(n uint64) float64 {
	if n&signBit != 0 {
		return math.Float64frombits(n &^ signBit)
	}
	return math.Float64frombits(^n)
}
