package form

import (
	"errors"
	"strconv"

	"example.com/borestack/fault"
)

// Classes of faults of this package, for errors.Is; the others are those of package fault. Every
// fault is a [fault.FieldError] whose Path is "/points" or, where one row is to blame, "/points/3".
var (
	ErrCoincident = errors.New("all points at one place")
	ErrCollinear  = errors.New("all points on one line")
	ErrStation    = errors.New("one station twice with different heights")
)

// whole stands for a fault that no single row is to blame for.
const whole = -1

func atFault(row int, value, want string, class error) error {
	path := "/points"
	if row >= 0 {
		path += "/" + strconv.Itoa(row)
	}
	return fault.At(path, value, want, class)
}

// unending is the fault of a search that does not settle.
func unending() error {
	return atFault(whole, "the contacts do not settle", "points of moderate size, all round the feature", fault.ErrNotConverging)
}

// unknownRule is the fault of a rule that does not apply to a feature.
func unknownRule(r Rule, want string) error {
	return fault.At("rule", r.String(), want, fault.ErrConflict)
}
