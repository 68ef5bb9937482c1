package stackup

import (
	"context"
	"encoding/csv"
	"fmt"
	"io"

	"example.com/borestack/fault"
)

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
