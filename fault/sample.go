package fault

import "fmt"

// SampleError is a sample that a model could not evaluate. The zero value is not a meaningful error.
type SampleError struct {
	Index  int       // of the sample
	Inputs []float64 // its deviations, column by column; nil: not known
	Err    error     // why
}

// Error says which sample, its deviations where they are known, and why.
func (e *SampleError) Error() string {
	if e.Inputs == nil {
		return fmt.Sprintf("sample %d: %v", e.Index, e.Err)
	}
	return fmt.Sprintf("sample %d (inputs %v): %v", e.Index, e.Inputs, e.Err)
}

// Unwrap returns the cause.
func (e *SampleError) Unwrap() error { return e.Err }
