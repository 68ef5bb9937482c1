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

// Close reports whether got is within tol of want.
func Close[T ~float64](got, want T, tol float64) bool {
	return cmp.Equal(float64(got), float64(want), cmpopts.EquateApprox(0, tol))
}

// CloseShare reports whether got is within a share of want.
func CloseShare[T ~float64](got, want T, share float64) bool {
	return Close(got, want, share*math.Abs(float64(want)))
}
