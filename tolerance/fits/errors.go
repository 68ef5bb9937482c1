package fits

import (
	"errors"
	"fmt"
	"math"
)

// Classes of faults, for errors.Is.
var (
	ErrSyntax       = errors.New("not understood")
	ErrUnknownClass = errors.New("unknown class")
	ErrUnknownGroup = errors.New("unknown group")
	ErrNotFinite    = errors.New("not finite")
	ErrOutOfRange   = errors.New("out of range")
	ErrMissing      = errors.New("missing")
	ErrConflict     = errors.New("conflict")
	ErrOpen         = errors.New("not in contact")
)

// FieldError is one fault: where it is, what was found, and what would be right. Path names an argument ("size") or, as a JSON Pointer (RFC 6901), a field ("/rings/1/modulus"). The zero value is not a meaningful error.
type FieldError struct {
	Path  string
	Value string // what was found; empty when something is missing
	Want  string // what would be right
	Err   error  // one of the Err values of this package
}

// Error says place, value and what would be right, on one line.
func (e *FieldError) Error() string {
	if e.Value == "" {
		return "fits: " + e.Path + ": " + e.Err.Error() + ": want " + e.Want
	}
	return "fits: " + e.Path + ": " + e.Value + ": " + e.Err.Error() + ": want " + e.Want
}

// Unwrap returns the class of the fault.
func (e *FieldError) Unwrap() error { return e.Err }

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// outside is the fault of a size in millimetres that a table does not reach; nil within.
func outside(path string, mm, over, to float64, of string) error {
	want := fmt.Sprintf("over %v mm, up to and including %v mm (%s)", over, to, of)
	switch {
	case !finite(mm):
		return &FieldError{path, fmt.Sprint(mm), want, ErrNotFinite}
	case mm <= over || mm > to:
		return &FieldError{path, fmt.Sprintf("%v mm", mm), want, ErrOutOfRange}
	}
	return nil
}
