package stackup

import (
	"fmt"
	"math"

	"example.com/borestack/fault"
)

// Model is y = f(x) for deviations x.
type Model interface {
	Inputs() int
	Outputs() int
	NewEvaluator() Evaluator // one for each goroutine
}

// Evaluator evaluates a model, for one goroutine.
type Evaluator interface {
	// Evaluate sets dst[out][i] = f(x[·][i]) for i < n. It allocates nothing. A bad sample is a [fault.SampleError] with its index.
	Evaluate(dst, x [][]float64, n int) error
}

// SlowModel is a model that may take a millisecond or more for a sample, where IsSlow says so. A run of it that is
// stopped gives up the blocks that it is in the midst of, where that of another model ends them.
type SlowModel interface {
	Model
	IsSlow() bool
}

// isSlow reports whether a model says so.
func isSlow(m Model) bool {
	s, ok := m.(SlowModel)
	return ok && s.IsSlow()
}

// Func is a model written for one sample: Of sets dst from x. The zero value is no model: [Study.Validate] refuses it.
type Func struct {
	In, Out int
	Of      func(dst, x []float64) error
	Slow    bool // a sample takes a millisecond or more; see [SlowModel]
}

// IsSlow returns Slow.
func (f Func) IsSlow() bool { return f.Slow }

// Inputs returns In.
func (f Func) Inputs() int { return f.In }

// check finds what is wrong with the model.
func (f Func) check() error {
	switch {
	case f.Of == nil:
		return fault.At("model", "a Func whose Of is nil", "a function", fault.ErrMissing)
	case f.In < 0 || f.Out < 0:
		return fault.At("model", fmt.Sprintf("a Func of %d inputs and %d outputs", f.In, f.Out), "0 or more", fault.ErrOutOfRange)
	}
	return nil
}

// Outputs returns Out.
func (f Func) Outputs() int { return f.Out }

// NewEvaluator returns an evaluator with scratch of its own.
func (f Func) NewEvaluator() Evaluator {
	return &funcEvaluator{f, make([]float64, f.In), make([]float64, f.Out)}
}

type funcEvaluator struct {
	f    Func
	x, y []float64
}

// Evaluate runs the function sample by sample. A result that is not a number is a bad sample.
func (e *funcEvaluator) Evaluate(dst, x [][]float64, n int) error {
	for i := range n {
		for k := range e.x {
			e.x[k] = x[k][i]
		}
		err := e.f.Of(e.y, e.x)
		for k, v := range e.y {
			if err == nil && math.IsNaN(v) {
				err = fmt.Errorf("output %d is not a number", k)
			}
			dst[k][i] = v
		}
		if err != nil {
			return &fault.SampleError{Index: i, Inputs: append([]float64(nil), e.x...), Err: err}
		}
	}
	return nil
}
