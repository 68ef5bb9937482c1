// Package fault says what is wrong with what was handed in: one fault has a place, a value, and what would be right there, and belongs to a class that [errors.Is] finds whatever package found it.
//
// Several faults come joined ([errors.Join]), in the order of what was handed in; [List] takes them apart.
package fault

import (
	"errors"
	"fmt"
)

// Classes of faults of what was handed in, for errors.Is.
var (
	ErrMissing     = errors.New("missing")
	ErrRepeated    = errors.New("repeated")
	ErrUnknownName = errors.New("unknown name")
	ErrNotFinite   = errors.New("not finite")
	ErrOutOfRange  = errors.New("out of range")
	ErrConflict    = errors.New("conflict")
	ErrSyntax      = errors.New("not understood")
	ErrTooMany     = errors.New("too many")
	ErrTooFew      = errors.New("too few")
)

// Classes of faults of what was asked: nothing that was handed in is wrong by itself.
var (
	ErrNotLocated    = errors.New("nothing locates it")
	ErrUndefined     = errors.New("no single answer")
	ErrNotConverging = errors.New("not solved")
)

// FieldError is one fault: where it is, what was found, and what would be right. The zero value is not a meaningful error.
type FieldError struct {
	Path  string // a JSON Pointer (RFC 6901) into what was handed in, "/joints/2/pins/0/diameter", or the name of an argument
	Value string // what was found; empty when something is missing
	Want  string // what would be right
	Err   error  // its class: one of the Err values of this package, or a package's own
}

// Error says place, value, class and what would be right, on one line.
func (e *FieldError) Error() string {
	if e.Value == "" {
		return e.Path + ": " + e.Err.Error() + ": want " + e.Want
	}
	return e.Path + ": " + e.Value + ": " + e.Err.Error() + ": want " + e.Want
}

// Unwrap returns the class of the fault.
func (e *FieldError) Unwrap() error { return e.Err }

// List takes joined errors apart; an error that joins none is a list of itself, and nil is none.
func List(err error) []error {
	if err == nil {
		return nil
	}
	if j, ok := err.(interface{ Unwrap() []error }); ok {
		return j.Unwrap()
	}
	return []error{err}
}

// At is one fault: its place, what was found there (empty: something is missing), what would be right, and its class.
func At(path, value, want string, class error) *FieldError {
	return &FieldError{Path: path, Value: value, Want: want, Err: class}
}

// Unsolved is the error of a program without a certified answer: what it was to say, where in the record its numbers stand,
// what would help, and the program's own error.
func Unsolved(what, at string, err error) error {
	return fmt.Errorf("%s (%s) cannot be said: %w: want sizes of one machine, none a billion times another: %w", what, at, ErrNotConverging, err)
}
