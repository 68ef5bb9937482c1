package stackup

import (
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"slices"

	"example.com/borestack/fault"
)

// Change is what of an input is to change.
type Change int

// The changes of a law.
const (
	ChangeSpread Change = iota + 1 // deviations from the mean, times the value: 1 as it is
	ChangeShift                    // the law moved by the value: 0 as it is; a plane law along Angle; not of a joint law
)

// String names what changes.
func (c Change) String() string {
	switch c {
	case ChangeSpread:
		return "spread"
	case ChangeShift:
		return "shift"
	}
	return fmt.Sprintf("change %d", int(c))
}

// Question asks how far one input may go, or several together.
type Question struct {
	Input    string
	Change   Change
	From, To float64 // from a value at which the target is held, to the farthest that is of interest; To may be the lesser
	Angle    float64 // of the shift of a plane law, radians from x towards y
	With     []Along // what else changes with it
	Response int     // the number whose limits are to be held
	Share    float64 // of the samples that must hold them; 1: every deviation within the inputs' limits must, as the worst case does
}

// Along is an input that changes as another does: where that has the value t, this has its own, which is away from
// what it is now (a spread of 1, a shift of 0) Weight times as far. With a weight of 1 everywhere several
// spreads grow by one factor.
type Along struct {
	Input  string
	Change Change
	Angle  float64
	Weight float64
}

// value is that of the input where the leading one has the value t.
func (a *Along) value(t float64) float64 {
	rest := 0.0
	if a.Change == ChangeSpread {
		rest = 1
	}
	return rest + a.Weight*(t-rest)
}

// parts are all inputs that a question changes, with a weight of 1 for the first.
func (ask *Question) parts() []Along {
	return append([]Along{{ask.Input, ask.Change, ask.Angle, 1}}, ask.With...)
}

// checkQuestion finds what is wrong with a question.
func (s *Study) checkQuestion(ask *Question) error {
	w, err := s.Response(ask.Response)
	if err != nil {
		return err
	}
	if !w.Limited() && w.Unless == 0 {
		return fault.At(w.Name, "no limits", "limits to hold", fault.ErrMissing)
	}
	if !(ask.Share > 0 && ask.Share <= 1) {
		return fault.At(w.Name, fmt.Sprintf("share %g", ask.Share), "more than 0, at most 1", fault.ErrOutOfRange)
	}
	if ask.From == ask.To {
		return fault.At(ask.Input, fmt.Sprintf("a range from %g to %g", ask.From, ask.To), "two values", fault.ErrOutOfRange)
	}
	seen := map[string]bool{}
	for _, p := range ask.parts() {
		if seen[p.Input] {
			return fault.At(p.Input, "changed twice", "each input once", fault.ErrRepeated)
		}
		seen[p.Input] = true
		for _, t := range []float64{ask.From, ask.To} {
			v := p.value(t)
			if p.Change != ask.Change && (p.Change == ChangeSpread || ask.Change == ChangeSpread) {
				return fault.At(p.Input, fmt.Sprintf("%s along with %s", p.Change, ask.Change), "a spread along with spreads, or none", fault.ErrOutOfRange)
			}
			if err := s.own().change(p.Input, p.Change, v, p.Angle); err != nil {
				return err
			}
		}
	}
	return nil
}

// change replaces an input, by its name, by one whose law is changed. The list of inputs must be the study's own.
func (s *Study) change(name string, c Change, t, angle float64) (err error) {
	i := slices.IndexFunc(s.Inputs, func(in Input) bool { return in.Name == name })
	if i < 0 {
		return fault.At(name, "not an input", "one of the study's", fault.ErrUnknownName)
	}
	in := &s.Inputs[i]
	switch sin, cos := math.Sincos(angle); {
	case c == ChangeSpread:
		*in, err = in.Scaled(t)
	case c != ChangeShift:
		err = fault.At(name, fmt.Sprintf("change %d", int(c)), "spread or shift", fault.ErrOutOfRange)
	case in.Joint != nil:
		err = fault.At(name, "shift of a joint law", "its spread", fault.ErrOutOfRange)
	case in.Plane != nil:
		*in, err = in.Shifted(t*cos, t*sin)
	default:
		*in, err = in.Shifted(t)
	}
	return err
}

// own is the study with a list of inputs of its own.
func (s *Study) own() *Study {
	out := *s
	out.Inputs = slices.Clone(s.Inputs)
	return &out
}

// Axis is what is to change of one input, and the values that are to be tried.
type Axis struct {
	Input  string
	Change Change
	Angle  float64 // of the shift of a plane law, radians from x towards y
	Values []float64
}

// Grid is a study at every combination of the values of some axes, all on the same draws. It is made by [Study.Grid].
type Grid struct {
	Axes   []Axis
	Points []GridPoint // the last axis changes from point to point
}

// GridPoint is one combination.
type GridPoint struct {
	Values []float64 // of the axes
	Of     []Summary // of the responses
}

// gridMost is how many combinations a grid may have: more would be a slip of the hand.
const gridMost = 100_000

// Grid runs the study at every combination of the axes' values. The draws are the same everywhere, so that what
// differs between two points is what the values do.
//
// When ctx is done it returns the points that are whole beside an error that wraps ctx.Err().
func (s *Study) Grid(ctx context.Context, axes []Axis, set Settings) (*Grid, error) {
	points := 1
	for i := range axes {
		if points *= len(axes[i].Values); points == 0 || points > gridMost {
			return nil, fault.At(axes[i].Input, fmt.Sprintf("%d values, %d combinations", len(axes[i].Values), points), fmt.Sprintf("at least 1 value, at most %d combinations", gridMost), fault.ErrOutOfRange)
		}
	}
	if err := set.Whole(1); err != nil {
		return nil, err
	}
	out := &Grid{Axes: axes}
	for k := range points {
		at := s.own()
		values := make([]float64, len(axes))
		for i, rest := len(axes)-1, k; i >= 0; i-- {
			n := len(axes[i].Values)
			values[i], rest = axes[i].Values[rest%n], rest/n
			if err := at.change(axes[i].Input, axes[i].Change, values[i], axes[i].Angle); err != nil {
				return nil, err
			}
		}
		run := set
		run.Progress = set.Part(fmt.Sprintf("point %d", k+1), k*set.Samples, points*set.Samples)
		acc, err := at.Run(ctx, run)
		if err != nil {
			return out, err
		}
		p := GridPoint{Values: values}
		for i := range s.Responses {
			p.Of = append(p.Of, acc.Summary(i))
		}
		out.Points = append(out.Points, p)
	}
	return out, nil
}

// WriteCSV writes the grid as a table (RFC 4180) under a heading, one row for each point: the values of the axes,
// headed by the input and what changes of it (spread: a factor; shift: in the input's unit), and for every
// response its mean and sd in its unit, its yield, a share of 1, and the ends of the yield's 95 % interval.
func (g *Grid) WriteCSV(w io.Writer) error {
	var heading []string
	for i := range g.Axes {
		heading = append(heading, fmt.Sprintf("%s: %s", g.Axes[i].Input, g.Axes[i].Change))
	}
	rows := [][]string{nil}
	for k := range g.Points {
		p := &g.Points[k]
		row := texts(p.Values...)
		for i := range p.Of {
			s := &p.Of[i]
			if k == 0 {
				for _, what := range []string{"mean", "sd", "yield", "yield low", "yield high"} {
					heading = append(heading, fmt.Sprintf("%s: %s", s.Name, what))
				}
			}
			row = append(row, texts(s.Mean, s.SD, s.Yield, s.YieldInterval[0], s.YieldInterval[1])...)
		}
		rows = append(rows, row)
	}
	rows[0] = heading
	return csv.NewWriter(w).WriteAll(rows)
}
