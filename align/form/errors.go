package form

import (
	"errors"
	"fmt"
	"strconv"

	"example.com/borestack/fault"
)

// Classes of faults of this package, for errors.Is; the others are those of package fault.
var (
	ErrMismatch   = errors.New("lengths differ")
	ErrCoincident = errors.New("all points at one place")
	ErrCollinear  = errors.New("all points on one line")
	ErrStation    = errors.New("one station twice with different heights")
)

// ErrDatum is returned for a datum that is not one, or is of a kind that the question does not take.
var ErrDatum = errors.New("form: datum: want a plane or an axis, as the question asks, with a direction that is not 0")

// whole stands for a fault that no single row is to blame for.
const whole = -1

// PointError is one fault of the points given: the row, what was found and what would be right. The zero value is not a meaningful error.
type PointError struct {
	Row   int    // index of the point, from 0; negative when the points as a whole are at fault
	Twin  int    // a second row in conflict with Row, from 0; negative when there is none
	Value string // what was found
	Want  string // what would be right
	Err   error  // one of the Err values of this package
}

// Error says place, value and what would be right, on one line.
func (e *PointError) Error() string {
	where := "points"
	if e.Row >= 0 {
		where += "[" + strconv.Itoa(e.Row) + "]"
	}
	if e.Twin >= 0 {
		where += " and points[" + strconv.Itoa(e.Twin) + "]"
	}
	return "form: " + where + ": " + e.Value + ": " + e.Err.Error() + ": want " + e.Want
}

// Unwrap returns the class of the fault.
func (e *PointError) Unwrap() error { return e.Err }

func tooFew(n, want int) error {
	return &PointError{Row: whole, Twin: whole, Value: fmt.Sprintf("%d of them", n), Want: fmt.Sprintf("%d or more", want), Err: fault.ErrTooFew}
}

func atFault(row int, value, want string, err error) error {
	return &PointError{Row: row, Twin: whole, Value: value, Want: want, Err: err}
}
