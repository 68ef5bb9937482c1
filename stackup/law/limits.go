package law

import "math"

// FromCpk returns the normal law of a process with capability index Cpk for two limits whose mean is known to sit at
// the middle + shift: its standard deviation is the distance from the mean to the nearer limit over 3 Cpk. It returns
// a [ParameterError] unless the limits are finite and in order, cpk > 0 and the shifted mean lies within the limits.
//
// Source: ISO 22514-2:2017, minimum capability index of a normal distribution.
func FromCpk(lowest, highest, cpk, shift float64) (Normal, error) {
	const name = "normal from limits"
	if err := interval(name, lowest, highest); err != nil {
		return Normal{}, err
	}
	if err := positive(name, "Cpk", cpk); err != nil {
		return Normal{}, err
	}
	half := (highest - lowest) / 2
	if !(math.Abs(shift) <= half) {
		return Normal{}, &ParameterError{name, "shift", shift, "at most half the distance of the limits"}
	}
	return NewNormal(lowest+half+shift, (half-math.Abs(shift))/(3*cpk))
}
