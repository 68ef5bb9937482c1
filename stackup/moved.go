package stackup

import (
	"fmt"
	"math"

	"example.com/borestack/fault"
)

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
		if v-v != 0 {
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
		if c-c != 0 && in.Law != nil {
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
