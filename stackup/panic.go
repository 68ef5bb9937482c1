package stackup

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/internal/num"
)

// Panic is what is raised, in the goroutine of the caller, when a model, a law or a progress function of the
// caller's panics, be it in a worker or not: so that the caller can recover, which in a worker he could not. When
// several samples of a run panic, the one of the earliest block begun is raised.
type Panic struct {
	Sample int       // the sample that the model panicked at, for [Study.Sample]; −1: not in a run, or not the model
	Inputs []float64 // the deviations that the model was given; nil: not the model
	Input  string    // the name of the input whose law panicked; empty: not a law
	Value  any       // what was raised first
	Stack  []byte    // where
}

// Error says what panicked, and at what.
func (p *Panic) Error() string {
	switch {
	case p.Input != "":
		return fmt.Sprintf("stackup: the law of %s panicked: %v", p.Input, p.Value)
	case p.Sample >= 0:
		return fmt.Sprintf("stackup: the model panicked at sample %d (inputs %v): %v", p.Sample, p.Inputs, p.Value)
	case p.Inputs != nil:
		return fmt.Sprintf("stackup: the model panicked at inputs %v: %v", p.Inputs, p.Value)
	}
	return fmt.Sprintf("stackup: panicked: %v", p.Value)
}

// Unwrap returns the value that was raised first, when that is an error.
func (p *Panic) Unwrap() error {
	err, _ := p.Value.(error)
	return err
}

// caught is what was recovered, with the stack of where it was raised; nil for nothing. It is called by a deferred function.
func caught(v any) *Panic {
	if v == nil {
		return nil
	}
	if p, ok := v.(*Panic); ok {
		return p
	}
	return &Panic{Sample: -1, Value: v, Stack: debug.Stack()}
}

// named gives a panic of the input's law its name. It is deferred.
func (in *Input) named() {
	p := caught(recover())
	if p == nil {
		return
	}
	if p.Inputs == nil {
		p.Input = in.Name
	}
	panic(p)
}

// raise panics with a panic that an error holds, and returns any other error. numbered: the error's sample is that of a run.
func raise(err error, numbered bool) error {
	var p *Panic
	if !errors.As(err, &p) {
		return err
	}
	var e *fault.SampleError
	if errors.As(err, &e) && numbered {
		p.Sample, p.Inputs = e.Index, e.Inputs
	}
	panic(p)
}

// guarded is an evaluator whose panics are errors, of the sample where that is found, and which heeds the context
// where a model is slow.
type guarded struct {
	Evaluator
	model Model
	ctx   context.Context // nil unless the model is slow
	x, y  [][]float64     // of a slow model: the rows that are evaluated now
}

// newEvaluator is an evaluator of a model, for one goroutine.
func newEvaluator(ctx context.Context, m Model) *guarded {
	g := &guarded{Evaluator: m.NewEvaluator(), model: m}
	if isSlow(m) {
		g.ctx, g.x, g.y = ctx, make([][]float64, m.Inputs()), make([][]float64, m.Outputs())
	}
	return g
}

// slowRows is how many samples of a slow model are evaluated between two looks at the context.
const slowRows = 4

// Evaluate evaluates n samples.
func (g *guarded) Evaluate(dst, x [][]float64, n int) error {
	if g.ctx == nil {
		return g.guard(dst, x, n)
	}
	for at := 0; at < n; at += slowRows {
		if g.ctx.Err() != nil {
			return &stopped{context.Cause(g.ctx)}
		}
		to := min(at+slowRows, n)
		for c := range g.x {
			g.x[c] = x[c][at:to]
		}
		for c := range g.y {
			g.y[c] = dst[c][at:to]
		}
		if err := g.guard(g.y, g.x, to-at); err != nil {
			return blame(err, g.x, at)
		}
	}
	return nil
}

// guard evaluates n samples, and makes a panic an error.
func (g *guarded) guard(dst, x [][]float64, n int) (err error) {
	defer func() {
		if p := caught(recover()); p != nil {
			err = g.locate(p, x, n)
		}
	}()
	return g.Evaluator.Evaluate(dst, x, n)
}

// locate finds the first of n samples that panics by itself.
func (g *guarded) locate(p *Panic, x [][]float64, n int) error {
	for i := range n {
		one := make([][]float64, len(x))
		at := make([]float64, len(x))
		for c := range x {
			at[c] = x[c][i]
			one[c] = []float64{x[c][i]}
		}
		if again := panicOf(g.model, one); again != nil {
			p.Inputs = at
			return &fault.SampleError{Index: i, Inputs: at, Err: p}
		}
	}
	return p
}

// panicOf evaluates one sample on an evaluator of its own.
func panicOf(m Model, x [][]float64) (p *Panic) {
	defer func() { p = caught(recover()) }()
	_ = m.NewEvaluator().Evaluate(num.Columns(m.Outputs(), 1), x, 1) // only whether it panics
	return nil
}
