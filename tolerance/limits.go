package tolerance

import (
	"fmt"
	"math"

	"example.com/borestack/internal/ieee"
)

// Celsius is a temperature in degrees Celsius. The zero value is 0 °C, a real temperature.
type Celsius float64

// Reference is the temperature at which lengths are stated.
//
// Source: ISO 1.
const Reference Celsius = 20

// Limits bounds a number. The zero value is no limit; a limit of zero is a limit.
type Limits struct {
	Least, Greatest Optional[float64]
}

// AtLeast is a least limit alone.
func AtLeast(v float64) Limits { return Limits{Least: Given(v)} }

// AtMost is a greatest limit alone.
func AtMost(v float64) Limits { return Limits{Greatest: Given(v)} }

// Between is both limits.
func Between(least, greatest float64) Limits { return Limits{Given(least), Given(greatest)} }

// Validate refuses limits that are not finite or leave nothing between them.
func (l Limits) Validate() error {
	for _, v := range []Optional[float64]{l.Least, l.Greatest} {
		if v.Given && !ieee.Finite(v.Value) {
			return fmt.Errorf("tolerance: limit %v is not finite", v.Value)
		}
	}
	if l.Least.Given && l.Greatest.Given && l.Least.Value > l.Greatest.Value {
		return fmt.Errorf("tolerance: least %v is above greatest %v", l.Least.Value, l.Greatest.Value)
	}
	return nil
}

// Room returns the distance of v to the nearest limit, negative outside; false without a limit.
func (l Limits) Room(v float64) (float64, bool) {
	room := math.Inf(1)
	if l.Least.Given {
		room = v - l.Least.Value
	}
	if l.Greatest.Given {
		room = math.Min(room, l.Greatest.Value-v)
	}
	return room, l.Least.Given || l.Greatest.Given
}

// GuardFactor95 is the guard band, in standard uncertainties, for a conformance probability of 95 %
// at one limit.
//
// Source: JCGM 106:2012, 8.3.2 (normal law, one-sided).
const GuardFactor95 = 1.65

// Decision is what a limit says of a number, or several limits of a box. The zero value is no
// limit; the order is that of severity, so the worst of several is the greatest.
type Decision uint8

// The decisions.
const (
	NoLimit   Decision = iota
	Pass               // holds, beyond the guard band and however the parts lie in their clearances
	Depends            // holds as the parts lie best and not as they lie worst; never of one number alone
	Undecided          // within the guard band: the gauge cannot tell
	Fail               // does not hold even as the parts lie best, beyond the guard band
)

// String returns "no limit", "pass", "depends", "undecided" or "fail".
func (d Decision) String() string {
	return wordOf(d, "no limit", "pass", "depends", "undecided", "fail")
}

// Rank is where boxes of a verdict stand among others: those that pass before those that are still
// open, and those before the ones that fail. A box that depends on the push and one that the gauge
// cannot tell are both open: neither is sure to run, neither is ruled out, and what they have at
// the worst float says more than which of the two it is.
func (d Decision) Rank() int {
	return [...]int{NoLimit: 0, Pass: 1, Depends: 2, Undecided: 2, Fail: 3}[min(d, Fail)]
}

// Decide holds a value with standard uncertainty u against the limits: pass when it is inside by at
// least guard·u, fail when outside by more than that, undecided between. With u = 0 a value on the
// limit passes.
//
// Source: ISO 14253-1:2017 (decision rules with a guard band); JCGM 106:2012, 8.3.
func (l Limits) Decide(value, u, guard float64) Decision {
	room, limited := l.Room(value)
	band := guard * u
	switch {
	case !limited:
		return NoLimit
	case room >= band:
		return Pass
	case room < -band:
		return Fail
	}
	return Undecided
}
