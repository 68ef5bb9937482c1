package stackup

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Study is what may vary in a model, and what is wanted of it. It is plain data; [Study.Validate] says what is wrong with it.
//
// The zero value has no model and is rejected.
type Study struct {
	Model     Model
	Inputs    []Input // in the order of the model's columns
	Responses []Response
}

// Response is one number asked of a study: a column of the model, its limits, and what must hold besides.
type Response struct {
	Name   string
	Output int              // column of the model's outputs
	Limits tolerance.Limits // what is not given is no limit; zero is one
	Unless int              // 1 + the column that must be at least 1 for a sample to count as good (a box that assembles); 0: none
}

// With is the study with other inputs in place of those of the same names; one of a new name is added behind.
func (s *Study) With(inputs ...Input) *Study {
	out := *s
	out.Inputs = slices.Clone(s.Inputs)
	for _, in := range inputs {
		if i := slices.IndexFunc(out.Inputs, func(was Input) bool { return was.Name == in.Name }); i >= 0 {
			out.Inputs[i] = in
		} else {
			out.Inputs = append(out.Inputs, in)
		}
	}
	return &out
}

// Response is the number asked for by its place; a [fault.FieldError] where there is none of that number.
func (s *Study) Response(i int) (*Response, error) {
	if i < 0 || i >= len(s.Responses) {
		return nil, fault.At("question", fmt.Sprintf("response %d", i), fmt.Sprintf("one of %d", len(s.Responses)), fault.ErrOutOfRange)
	}
	return &s.Responses[i], nil
}

// Limited reports whether there is a limit to hold.
func (w *Response) Limited() bool { return w.Limits.Least.Given || w.Limits.Greatest.Given }

// Good reports whether sample i of the outputs holds the limits, and what must hold besides.
func (w *Response) Good(y [][]float64, i int) bool {
	least, greatest := w.bounds()
	v := y[w.Output][i]
	return v >= least && v <= greatest && (w.Unless == 0 || y[w.Unless-1][i] >= 1)
}

// Known returns a [fault.SampleError] for the first of n samples whose response is not a number: it is neither
// good nor bad.
func (w *Response) Known(y [][]float64, n int) error {
	for i, v := range y[w.Output][:n] {
		if v != v || w.Unless > 0 && y[w.Unless-1][i] != y[w.Unless-1][i] {
			return w.notNumber(i)
		}
	}
	return nil
}

// bounds are the limits, infinite where there is none.
func (w *Response) bounds() (least, greatest float64) {
	return w.Limits.Least.Or(math.Inf(-1)), w.Limits.Greatest.Or(math.Inf(1))
}

// check finds what is wrong with a response of a model with so many outputs.
func (w *Response) check(outputs int) error {
	if w.Output < 0 || w.Output >= outputs {
		return fault.At(w.Name, fmt.Sprintf("column %d", w.Output), fmt.Sprintf("one of the model's %d", outputs), fault.ErrOutOfRange)
	}
	if w.Unless < 0 || w.Unless > outputs {
		return fault.At(w.Name, fmt.Sprintf("unless %d", w.Unless), fmt.Sprintf("0, or 1 + one of the model's %d columns", outputs), fault.ErrOutOfRange)
	}
	if w.Limits.Validate() != nil {
		least, greatest := w.bounds()
		return fault.At(w.Name, fmt.Sprintf("limits %g to %g", least, greatest), "finite ones or none, least at most greatest", fault.ErrOutOfRange)
	}
	return nil
}

// Validate returns every fault of the study, each a [fault.FieldError] whose place is the name of an input or wanted
// number, joined.
func (s *Study) Validate() error {
	if isNil(s.Model) {
		return fault.At("study", "no model", "a model", fault.ErrMissing)
	}
	if f, ok := s.Model.(interface{ check() error }); ok {
		if err := f.check(); err != nil {
			return err
		}
	}
	var out []error
	columns, whole := 0, true
	names := map[string]bool{}
	for i := range s.Inputs {
		in := &s.Inputs[i]
		switch {
		case in.Name == "":
			out = append(out, fault.At(fmt.Sprintf("input %d", i), "no name", "a name, which keys its draws", fault.ErrMissing))
		case names[in.Name]:
			out = append(out, fault.At(in.Name, "named twice", "each name once", fault.ErrRepeated))
		}
		names[in.Name] = true
		if err := in.check(); err != nil {
			out, whole = append(out, err), false
			continue
		}
		columns += in.Columns()
	}
	if whole && columns != s.Model.Inputs() {
		out = append(out, fault.At("study", fmt.Sprintf("inputs for %d columns", columns), fmt.Sprintf("%d, as the model has", s.Model.Inputs()), fault.ErrOutOfRange))
	}
	for i := range s.Responses {
		w := &s.Responses[i]
		if err := w.check(s.Model.Outputs()); err != nil {
			out = append(out, err)
		}
	}
	return errors.Join(out...)
}
