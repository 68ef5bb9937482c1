package fault

import "fmt"

// SampleError is one sample of many that could not be evaluated, whoever evaluates: the rest may be
// sound.
type SampleError struct {
	Index  int       // of the sample
	Inputs []float64 // its deviations; nil where who reports it does not know them
	Err    error
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
