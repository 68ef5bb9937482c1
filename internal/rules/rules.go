// Package rules holds what was handed in to rules, one a line, and gathers the faults in the order of the rules.
package rules

import (
	"errors"
	"fmt"

	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
)

// List is the faults that were found. The zero value has found none.
type List []error

// Need notes a fault of its class unless ok: its place, what was found there (as [fmt.Sprint] has it; nil: something is missing), and what would be right.
func (l *List) Need(ok bool, path string, found any, want string, class error) {
	if ok {
		return
	}
	value := ""
	if found != nil {
		value = fmt.Sprint(found)
	}
	*l = append(*l, fault.At(path, value, want, class))
}

// Err is all faults joined; nil without one.
func (l List) Err() error { return errors.Join(l...) }

// First is the first fault alone, where those behind it follow from it; nil without one.
func (l List) First() error {
	if len(l) == 0 {
		return nil
	}
	return l[0]
}

// Positive reports whether v is a number, and more than 0.
func Positive[T ~float64](v T) bool { return v > 0 && ieee.Finite(v) }

// NotNegative reports whether v is a number, and 0 or more.
func NotNegative[T ~float64](v T) bool { return v >= 0 && ieee.Finite(v) }
