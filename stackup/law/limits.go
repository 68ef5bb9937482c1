package law

import "math"

// FromLimits returns the normal law of a process with capability index Cp for two limits: its standard deviation is (highest − lowest)/(6 Cp), its mean the middle of the limits + shift. It returns a [ParameterError] unless the limits are finite and in order, cp > 0 and shift is finite.
//
// Cp says how wide the process is and nothing about where it sits; a shift must be assumed beside it. See [FromCpk].
//
// Source: ISO 22514-2:2017, capability index of a normal distribution.
func FromLimits(lowest, highest, cp, shift float64) (Normal, error) {
	const name = "normal from limits"
	if err := interval(name, lowest, highest); err != nil {
		return Normal{}, err
	}
	if err := positive(name, "Cp", cp); err != nil {
		return Normal{}, err
	}
	if err := finite(name, []string{"shift"}, shift); err != nil {
		return Normal{}, err
	}
	width := highest - lowest
	return NewNormal(lowest+width/2+shift, width/(6*cp))
}

// FromCpk returns the normal law of a process with capability index Cpk for two limits whose mean is known to sit at the middle + shift: its standard deviation is the distance from the mean to the nearer limit over 3 Cpk. It returns a [ParameterError] unless the limits are finite and in order, cpk > 0 and the shifted mean lies within the limits.
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

// Capability returns the indices of a normal process for two limits: Cp, limits over 6 standard deviations, and Cpk, the distance from the mean to the nearer limit over 3, negative when the mean lies outside. They are infinite when the process does not vary.
func (l Normal) Capability(lowest, highest float64) (cp, cpk float64) {
	return (highest - lowest) / (6 * l.sd), min(highest-l.mean, l.mean-lowest) / (3 * l.sd)
}

// NewDirection returns the law of a direction of which nothing is known: uniform over the circle, 0 to 2π radians. Its mean says nothing; a vector of known size in that direction is a [Ring].
func NewDirection() Uniform { return Uniform{0, 2 * math.Pi} }

// NewPosition reads a position tolerance as a true position anywhere in its zone: the uniform law over the disc of the given diameter about (0, 0). It returns a [ParameterError] unless diameter ≥ 0.
func NewPosition(diameter float64) (Disc, error) {
	if err := atLeastZero("position", "diameter", diameter); err != nil {
		return Disc{}, err
	}
	return NewDisc(0, 0, diameter/2)
}

// NewPositionNormal reads a position tolerance as a normal process that keeps a share of the parts inside the zone of the given diameter: two independent components about 0 with one standard deviation, the radius being the quantile of their Rayleigh law. It returns a [ParameterError] unless diameter ≥ 0 and 0 < inside < 1.
func NewPositionNormal(diameter, inside float64) (Bivariate, error) {
	const name = "position"
	if err := atLeastZero(name, "diameter", diameter); err != nil {
		return Bivariate{}, err
	}
	if !(inside > 0 && inside < 1) {
		return Bivariate{}, &ParameterError{name, "share inside", inside, "between 0 and 1"}
	}
	variance := diameter * diameter / 4 / (-2 * math.Log1p(-inside))
	return NewBivariate(0, 0, variance, variance, 0)
}
