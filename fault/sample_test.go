package fault_test

import (
	"errors"
	"fmt"
	"testing"

	"example.com/borestack/fault"
)

func TestSampleError_says(t *testing.T) {
	for want, e := range map[string]*fault.SampleError{
		"sample 3: too few":                 {Index: 3, Err: fault.ErrTooFew},
		"sample 3 (inputs [1 -2]): too few": {Index: 3, Inputs: []float64{1, -2}, Err: fault.ErrTooFew},
	} {
		wrapped := fmt.Errorf("run: %w", e)
		var s *fault.SampleError
		if e.Error() != want || !errors.As(wrapped, &s) || !errors.Is(wrapped, fault.ErrTooFew) {
			t.Errorf("%q, want %q, found in what wraps it", e, want)
		}
	}
}
