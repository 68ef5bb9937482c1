package stackup

import (
	"fmt"
	"math"
	"reflect"

	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/stackup/law"
)

// Input is one source of deviation: a law for one column of the model, or a joint law for as many as it has, which vary
// together. Exactly one of the two is given. The name keys the draws: an input draws the same numbers whatever other
// inputs there are.
//
// Deviations that vary together are one input everywhere: its share of a variance is what all of them are to it
// together, its worst case is that over the set which they can fill together, and every deviation is in its own
// unit.
//
// The methods that sample by evenly spread points, compare studies or look for rare failures make inputs of standard
// normal numbers. Laws of package law can be; another joint law can when it has the methods that [law.Joint] says.
// Others are drawn at random by those methods.
type Input struct {
	Name  string
	Law   law.Law
	Joint law.Joint

	moved *moved // nil: not
}

// joint is the input's law as one of all its columns.
func (in *Input) joint() law.Joint {
	if in.Joint != nil {
		return in.Joint
	}
	return law.Independent{in.Law}
}

// check finds what is wrong with the input's law: none, two, or one that is a nil pointer or holds one.
func (in *Input) check() error {
	given := 0
	for _, l := range [2]any{in.Law, in.Joint} {
		if l == nil {
			continue
		}
		if given++; isNil(l) {
			return fault.At(in.Name, "a nil pointer to a law", "a law", fault.ErrMissing)
		}
	}
	if given != 1 {
		return fault.At(in.Name, "several laws, or none", "a law or a joint law", fault.ErrConflict)
	}
	if several, ok := in.Joint.(law.Independent); ok {
		for k, l := range several {
			if err := (&Input{Name: fmt.Sprintf("%s/%d", in.Name, k), Law: l}).check(); err != nil {
				return err
			}
		}
	}
	return nil
}

// isNil reports whether an interface holds nothing, or a nil pointer.
func isNil(v any) bool {
	if v == nil {
		return true
	}
	r := reflect.ValueOf(v)
	return r.Kind() == reflect.Pointer && r.IsNil()
}

// Columns is how many columns of the model the input takes.
func (in *Input) Columns() int {
	defer in.named()
	return in.joint().Columns()
}

// Mean is that of the input's column k.
func (in *Input) Mean(k int) float64 {
	defer in.named()
	return in.moved.to(k, in.joint().Mean(k))
}

// covariance is that of two of the input's columns.
func (in *Input) covariance(i, j int) float64 {
	defer in.named()
	return in.moved.spread(in.joint().Covariance(i, j))
}

// together is the covariance of two numbers that the input's columns make with gains a and b.
func (in *Input) together(a, b []float64) (sum float64) {
	for i := range a {
		sum += a[i] * b[i] * in.covariance(i, i)
	}
	for j := range a {
		for i := range j {
			sum += (a[i]*b[j] + a[j]*b[i]) * in.covariance(i, j)
		}
	}
	return sum
}

// moved is what became of an input's deviations: spread about a centre by a scale, then shifted, column by column.
// Draws are those of the law, moved.
type moved struct {
	scale         float64 // ≥ 0
	centre, shift []float64
}

// Scaled is the input with its deviations from its means scaled; from its median, where a law has no finite mean. It
// returns a [fault.FieldError] unless scale ≥ 0.
func (in Input) Scaled(scale float64) (Input, error) {
	if err := in.check(); err != nil {
		return Input{}, err
	}
	if !(scale >= 0) || math.IsInf(scale, 0) {
		return Input{}, fault.At(in.Name, fmt.Sprintf("spread %g", scale), "0 or more", fault.ErrOutOfRange)
	}
	m := in.move()
	m.scale *= scale
	in.moved = &m
	return in, nil
}

// Shifted is the input moved by a distance for each of its columns. It returns a [fault.FieldError] unless these are
// finite.
func (in Input) Shifted(by ...float64) (Input, error) {
	if err := in.check(); err != nil {
		return Input{}, err
	}
	m := in.move()
	if len(by) != len(m.shift) {
		return Input{}, fault.At(in.Name, fmt.Sprintf("%d shifts", len(by)), fmt.Sprintf("one for each of %d columns", len(m.shift)), fault.ErrOutOfRange)
	}
	for k, v := range by {
		if !ieee.Finite(v) {
			return Input{}, fault.At(in.Name, fmt.Sprintf("shift %g", v), "a finite number", fault.ErrNotFinite)
		}
		m.shift[k] += v
	}
	in.moved = &m
	return in, nil
}

// move is a copy of what became of the input.
func (in *Input) move() moved {
	defer in.named()
	if m := in.moved; m != nil {
		return moved{m.scale, m.centre, append([]float64(nil), m.shift...)}
	}
	n := in.Columns()
	out := moved{scale: 1, centre: make([]float64, n), shift: make([]float64, n)}
	for k := range n {
		c := in.Mean(k)
		if !ieee.Finite(c) && in.Law != nil {
			c = in.Law.Quantile(0.5)
		}
		out.centre[k] = c
	}
	return out
}

// to is what a value of column k becomes. A nil one changes nothing.
func (m *moved) to(k int, x float64) float64 {
	switch {
	case m == nil:
		return x
	case m.scale == 0: // of infinite values too
		return m.centre[k] + m.shift[k]
	case m.scale == 1:
		return x + m.shift[k]
	}
	return m.centre[k] + m.scale*(x-m.centre[k]) + m.shift[k]
}

// all moves columns.
func (m *moved) all(x [][]float64) {
	if m == nil {
		return
	}
	for k, column := range x {
		for i, v := range column {
			column[i] = m.to(k, v)
		}
	}
}

// spread is what a covariance becomes.
func (m *moved) spread(covariance float64) float64 {
	switch {
	case m == nil:
		return covariance
	case m.scale == 0: // of infinite ones too
		return 0
	}
	return m.scale * m.scale * covariance
}
