package tolerance

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// Classes of faults, for errors.Is.
var (
	ErrMissing    = errors.New("missing")
	ErrRepeated   = errors.New("repeated")
	ErrNotFinite  = errors.New("not finite")
	ErrOutOfRange = errors.New("out of range")
)

// FieldError is one fault: where it is, what was found, and what would be right. Path is a JSON Pointer (RFC 6901) into a [Budget], such as "/sources/1/k", or the name of an argument. The zero value is not a meaningful error.
type FieldError struct {
	Path  string
	Name  string // of the source of uncertainty, when it has one
	Value string // what was found; empty when something is missing
	Want  string // what would be right
	Err   error  // one of the Err values of this package
}

// Error says place, value and what would be right, on one line.
func (e *FieldError) Error() string {
	var b strings.Builder
	b.WriteString("tolerance: " + e.Path)
	if e.Name != "" {
		fmt.Fprintf(&b, " (%s)", e.Name)
	}
	if e.Value != "" {
		b.WriteString(": " + e.Value)
	}
	b.WriteString(": " + e.Err.Error() + ": want " + e.Want)
	return b.String()
}

// Unwrap returns the class of the fault.
func (e *FieldError) Unwrap() error { return e.Err }

// budgetCheck collects the faults of one budget.
type budgetCheck struct {
	at, name string // the source being checked
	faults   []error
}

func (c *budgetCheck) add(field, value string, class error, want string) {
	c.faults = append(c.faults, &FieldError{c.at + field, c.name, value, want, class})
}

// between checks that a number is finite and within bounds, whose unit is said after them.
func (c *budgetCheck) between(field string, v, lowest, highest float64, unit string) {
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		c.add(field, fmt.Sprint(v), ErrNotFinite, "a finite number")
	case v < lowest || v > highest:
		c.add(field, fmt.Sprintf("%v%s", v, unit), ErrOutOfRange, fmt.Sprintf("%v to %v%s", lowest, highest, unit))
	}
}

// longest bounds a length in a budget, in mm: sizes over 100 m are absurd.
const longest = 100000

// length checks a length that is 0 or more.
func (c *budgetCheck) length(field string, v Length) { c.between(field, float64(v), 0, longest, " mm") }

// more checks a length that must be more than 0, because 0 means that it was forgotten.
func (c *budgetCheck) more(field string, v Length, what string) {
	if v == 0 {
		c.add(field, "0 mm", ErrMissing, what)
		return
	}
	c.length(field, v)
}

// leastDegrees is the least number of degrees of freedom: an uncertainty that is itself uncertain by all of its size.
const leastDegrees = 0.5

func (c *budgetCheck) degrees(v Optional[float64]) {
	if v.Given && (!(v.Value >= leastDegrees) || math.IsInf(v.Value, 0)) {
		c.add("/degrees_of_freedom", fmt.Sprint(v.Value), ErrOutOfRange, fmt.Sprintf("a finite number of %v or more; none when the uncertainty is known well", leastDegrees))
	}
}

func (c *budgetCheck) gain(v Optional[float64]) float64 {
	if !v.Given {
		return 1
	}
	const most = 1e6
	c.between("/sensitivity", v.Value, -most, most, "")
	return math.Abs(v.Value)
}

func (c *budgetCheck) acts(s Scope) {
	switch s {
	case OnEach, OnAll:
	case ScopeUnsaid:
		c.add("/acts", "", ErrMissing, "OnEach, an error that every reading makes anew, or OnAll, one that all readings share")
	default:
		c.add("/acts", fmt.Sprint(uint8(s)), ErrOutOfRange, "OnEach or OnAll")
	}
}
