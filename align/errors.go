package align

import "errors"

// Classes of faults, for errors.Is.
var (
	ErrMissing       = errors.New("missing")
	ErrRepeated      = errors.New("repeated")
	ErrUnknownName   = errors.New("unknown name")
	ErrNotFinite     = errors.New("not finite")
	ErrOutOfRange    = errors.New("out of range")
	ErrConflict      = errors.New("conflict")
	ErrNotLocated    = errors.New("nothing locates it")
	ErrTooMany       = errors.New("too many")
	ErrNotConverging = errors.New("not solved")
)

// FieldError is one fault: where it is, what was found, and what would be right. Path is a JSON Pointer (RFC 6901) into the record that describes the stack, such as "/joints/2/pins/0/diameter"; the fields of [Stack] are laid out alike. The zero value is not a meaningful error.
type FieldError struct {
	Path  string
	Value string // what was found; empty when something is missing
	Want  string // what would be right
	Err   error  // one of the Err values of this package
}

// Error says place, value and what would be right, on one line.
func (e *FieldError) Error() string {
	if e.Value == "" {
		return e.Path + ": " + e.Err.Error() + ": want " + e.Want
	}
	return e.Path + ": " + e.Value + ": " + e.Err.Error() + ": want " + e.Want
}

// Unwrap returns the class of the fault.
func (e *FieldError) Unwrap() error { return e.Err }
