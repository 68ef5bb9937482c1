// Package check compares numbers in tests: one way for all rooms.
package check

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// Near fails unless got is within tol of want. NaN is near nothing.
func Near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !Close(got, want, tol) {
		t.Errorf("%s: %.15g, want %.15g within %g", what, got, want, tol)
	}
}

// Relative fails unless got is within a share of want.
func Relative(t testing.TB, what string, got, want, share float64) {
	t.Helper()
	Near(t, what, got, want, share*math.Abs(want))
}

// Close reports whether values are equal but for tol in every number in them: numbers, slices and structs
// of them.
func Close[T any](got, want T, tol float64) bool {
	return cmp.Equal(got, want, cmpopts.EquateApprox(0, tol))
}
