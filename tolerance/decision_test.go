package tolerance_test

import (
	"testing"

	"example.com/borestack/tolerance"
)

// The order of the decisions is that of severity, which worst-of-several rests on; their ranks put
// what is open together.
func TestDecision_order(t *testing.T) {
	order := []tolerance.Decision{tolerance.NoLimit, tolerance.Pass, tolerance.Depends, tolerance.Undecided, tolerance.Fail}
	words := []string{"no limit", "pass", "depends", "undecided", "fail"}
	ranks := []int{0, 1, 2, 2, 3}
	for i, d := range order {
		if i > 0 && d <= order[i-1] {
			t.Errorf("%v is not worse than %v", d, order[i-1])
		}
		if d.String() != words[i] || d.Rank() != ranks[i] {
			t.Errorf("%q of rank %d, want %q of %d", d, d.Rank(), words[i], ranks[i])
		}
	}
}
