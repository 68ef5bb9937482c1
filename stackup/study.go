package stackup

import (
	"errors"
	"fmt"
	"math"

	"example.com/borestack/stackup/law"
)

// Study is what may vary in a model, and what is wanted of it. It is plain data; [Study.Validate] says what is wrong with it.
//
// The zero value has no model and is rejected.
type Study struct {
	Model  Model
	Inputs []Input // in the order of the model's columns: one for a Law, two for a Plane
	Wanted []Wanted
}

// Input is one source of deviation: a law for one column of the model, or a plane law for two, x then y. Exactly one of Law and Plane is given. The name keys the draws: an input draws the same numbers whatever other inputs there are.
type Input struct {
	Name  string
	Law   law.Law
	Plane law.Plane
}

// columns is how many columns of the model the input takes.
func (in *Input) columns() int {
	if in.Plane != nil {
		return 2
	}
	return 1
}

// Wanted is one number asked of a study: a column of the model, its limits, and what must hold besides.
type Wanted struct {
	Name            string
	Of              int     // column of the model's outputs
	Least, Greatest float64 // −Inf and +Inf: no limit
	Unless          int     // 1 + the column that must be at least 1 for a sample to count as good (a box that assembles); 0: none
}

// NoLimits is a number asked of a study without limits.
func NoLimits(name string, of int) Wanted {
	return Wanted{Name: name, Of: of, Least: math.Inf(-1), Greatest: math.Inf(1)}
}

// limited reports whether there is a limit to hold.
func (w *Wanted) limited() bool { return !math.IsInf(w.Least, -1) || !math.IsInf(w.Greatest, 1) }

// ErrStudy is wrapped by every fault of a study.
var ErrStudy = errors.New("stackup: bad study")

// InputError is a fault of one input or wanted number.
type InputError struct {
	Name string // of the input or wanted number
	What string // what is wrong
	Want string // what would be right
}

// Error says whose fault, what is wrong and what would be right.
func (e *InputError) Error() string {
	return fmt.Sprintf("stackup: %s: %s: want %s", e.Name, e.What, e.Want)
}

// Unwrap returns [ErrStudy].
func (e *InputError) Unwrap() error { return ErrStudy }

// Validate returns every fault of the study, joined.
func (s *Study) Validate() error {
	if s.Model == nil {
		return &InputError{"study", "no model", "a model"}
	}
	var out []error
	columns := 0
	names := map[string]bool{}
	for i := range s.Inputs {
		in := &s.Inputs[i]
		columns += in.columns()
		switch {
		case in.Name == "":
			out = append(out, &InputError{fmt.Sprintf("input %d", i), "no name", "a name, which keys its draws"})
		case names[in.Name]:
			out = append(out, &InputError{in.Name, "named twice", "each name once"})
		}
		names[in.Name] = true
		if (in.Law == nil) == (in.Plane == nil) {
			out = append(out, &InputError{in.Name, "a law and a plane law, or neither", "one of them"})
		}
	}
	if columns != s.Model.Inputs() {
		out = append(out, &InputError{"study", fmt.Sprintf("inputs for %d columns", columns), fmt.Sprintf("%d, as the model has", s.Model.Inputs())})
	}
	for i := range s.Wanted {
		w := &s.Wanted[i]
		if w.Of < 0 || w.Of >= s.Model.Outputs() || w.Unless < 0 || w.Unless > s.Model.Outputs() {
			out = append(out, &InputError{w.Name, fmt.Sprintf("column %d", w.Of), fmt.Sprintf("one of the model's %d", s.Model.Outputs())})
		}
		if !(w.Least <= w.Greatest) {
			out = append(out, &InputError{w.Name, fmt.Sprintf("limits %g to %g", w.Least, w.Greatest), "least at most greatest"})
		}
	}
	return errors.Join(out...)
}
