package stackup

import (
	"context"
	"fmt"
	"slices"

	"example.com/borestack/fault"
)

// Axis is something of a study that takes several values.
type Axis struct {
	Name   string // what it is, for a table: "nut: spread"
	Values []float64
}

// Grid is a study at every combination of the values of some axes, all on the same draws. It is made by [OnGrid].
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

// OnGrid runs what study makes of the values at every combination of the axes: the spread of an input, the shift of
// another, a number of the model ([Study.With], [Input.Scaled], [Input.Shifted]). The draws are the same everywhere, so
// that what differs between two points is what the values do. The values that study is handed are its own.
//
// When ctx is done it returns the points that are whole beside an error that wraps ctx.Err().
func OnGrid(ctx context.Context, study func(values []float64) (*Study, error), axes []Axis, set Settings) (*Grid, error) {
	points := 1
	for i := range axes {
		if points *= len(axes[i].Values); points == 0 || points > gridMost {
			return nil, fault.At(axes[i].Name, fmt.Sprintf("%d values, %d combinations", len(axes[i].Values), points), fmt.Sprintf("at least 1 value, at most %d combinations", gridMost), fault.ErrOutOfRange)
		}
	}
	if err := set.Whole(1); err != nil {
		return nil, err
	}
	out := &Grid{Axes: slices.Clone(axes)}
	for k := range points {
		values := make([]float64, len(axes))
		for i, rest := len(axes)-1, k; i >= 0; i-- {
			n := len(axes[i].Values)
			values[i], rest = axes[i].Values[rest%n], rest/n
		}
		run := set
		run.Progress = set.Part(fmt.Sprintf("point %d", k+1), k*set.Samples, points*set.Samples)
		p := GridPoint{Values: slices.Clone(values)}
		s, err := study(values)
		if err == nil && s == nil {
			err = noStudy(p.Values...)
		}
		if err != nil {
			return out, err
		}
		acc, err := s.Run(ctx, run)
		if err != nil {
			return out, err
		}
		for i := range s.Responses {
			p.Of = append(p.Of, acc.Summary(i))
		}
		out.Points = append(out.Points, p)
	}
	return out, nil
}
