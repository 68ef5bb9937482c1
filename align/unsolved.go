package align

import (
	"fmt"

	"example.com/borestack/fault"
)

// unsolved is the error of a program without a certified answer: where in the record its numbers stand, and what would help.
func unsolved(what, at string, err error) error {
	return fmt.Errorf("align: %s (%s) cannot be said: %w: want sizes of one machine, none a billion times another: %w", what, at, fault.ErrNotConverging, err)
}
