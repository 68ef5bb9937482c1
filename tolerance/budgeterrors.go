package tolerance

import (
	"fmt"
	"math"
	"strings"

	"example.com/borestack/fault"
)

// budgetCheck collects the faults of one budget.
type budgetCheck struct {
	at, name string // the source being checked
	faults   []error
}

func (c *budgetCheck) add(field, value string, class error, want string) {
	if c.name != "" {
		value = strings.TrimSpace(fmt.Sprintf("%s of %q", value, c.name))
	}
	c.faults = append(c.faults, fault.At(c.at+field, value, want, class))
}

// between checks that a number is finite and within bounds, whose unit is said after them.
func (c *budgetCheck) between(field string, v, lowest, highest float64, unit string) {
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		c.add(field, fmt.Sprint(v), fault.ErrNotFinite, "a finite number")
	case v < lowest || v > highest:
		c.add(field, fmt.Sprintf("%v%s", v, unit), fault.ErrOutOfRange, fmt.Sprintf("%v to %v%s", lowest, highest, unit))
	}
}

// longest bounds a length in a budget, in mm: sizes over 100 m are absurd.
const longest = 100000

// length checks a length that is 0 or more.
func (c *budgetCheck) length(field string, v Length) { c.between(field, float64(v), 0, longest, " mm") }

// more checks a length that must be more than 0, because 0 means that it was forgotten.
func (c *budgetCheck) more(field string, v Length, what string) {
	if v == 0 {
		c.add(field, "0 mm", fault.ErrMissing, what)
		return
	}
	c.length(field, v)
}

// leastDegrees is the least number of degrees of freedom: an uncertainty that is itself uncertain
// by all of its size.
const leastDegrees = 0.5

func (c *budgetCheck) degrees(v Optional[float64]) {
	if v.Given && (!(v.Value >= leastDegrees) || math.IsInf(v.Value, 0)) {
		c.add("/degrees_of_freedom", fmt.Sprint(v.Value), fault.ErrOutOfRange, fmt.Sprintf("a finite number of %v or more; none when the uncertainty is known well", leastDegrees))
	}
}

func (c *budgetCheck) acts(s Scope) {
	switch s {
	case OnEach, OnAll:
	case ScopeUnsaid:
		c.add("/acts", "", fault.ErrMissing, "OnEach, an error that every reading makes anew, or OnAll, one that all readings share")
	default:
		c.add("/acts", fmt.Sprint(uint8(s)), fault.ErrOutOfRange, "OnEach or OnAll")
	}
}
