package stackup

import (
	"encoding/csv"
	"fmt"
	"io"
	"iter"
	"strconv"
)

// WriteCSV writes what every response of the accumulator came to as a table (RFC 4180), one row each, under a heading.
// units are those of the responses, in order; what is missing is left empty.
//
// The columns: name; unit, in which mean to most are (skewness has none); samples, and how many of them are infinite;
// mean, sd and skewness, with the standard errors of mean and sd; least and most; good, the samples within limits;
// yield, a share of 1, with its standard error and the ends of its 95 % interval.
func (t *Accumulator) WriteCSV(w io.Writer, units ...string) error {
	rows := [][]string{{
		"name", "unit", "samples", "infinite", "mean", "mean error", "sd", "sd error", "skewness", "least", "most",
		"good", "yield", "yield error", "yield low", "yield high",
	}}
	for i, name := range t.names {
		s := t.Summary(i)
		row := []string{name, "", strconv.Itoa(s.Samples), strconv.Itoa(s.Infinite)}
		if i < len(units) {
			row[1] = units[i]
		}
		row = append(row, texts(s.Mean, s.MeanError, s.SD, s.SDError, s.Skewness, s.Least, s.Most)...)
		row = append(row, strconv.Itoa(s.Good))
		rows = append(rows, append(row, texts(s.Yield, s.YieldError, s.YieldInterval[0], s.YieldInterval[1])...))
	}
	return csv.NewWriter(w).WriteAll(rows)
}

// WriteCSV writes the grid as a table (RFC 4180) under a heading, one row for each point: the values of the axes, and
// for every response its mean and sd in its unit, its yield, a share of 1, and the ends of the yield's 95 % interval.
func (g *Grid) WriteCSV(w io.Writer) error {
	rows := [][]string{nil}
	for i := range g.Axes {
		rows[0] = append(rows[0], g.Axes[i].Name)
	}
	for k := range g.Points {
		row := texts(g.Points[k].Values...)
		for _, s := range g.Points[k].Of {
			if k == 0 {
				for _, what := range []string{"mean", "sd", "yield", "yield low", "yield high"} {
					rows[0] = append(rows[0], s.Name+": "+what)
				}
			}
			row = append(row, texts(s.Mean, s.SD, s.Yield, s.YieldInterval[0], s.YieldInterval[1])...)
		}
		rows = append(rows, row)
	}
	return csv.NewWriter(w).WriteAll(rows)
}

// WriteSamplesCSV writes samples of a study as a table (RFC 4180) under a heading: the sample's index, the deviations
// of the inputs (of a joint law as name/0, name/1 and so on), and the responses, each in the unit of the model. It
// returns the error that the samples end with, after what came before it is written.
func (s *Study) WriteSamplesCSV(w io.Writer, samples iter.Seq2[Sample, error]) error {
	c := csv.NewWriter(w)
	heading := []string{"sample"}
	for i := range s.Inputs {
		in := &s.Inputs[i]
		if in.Joint == nil {
			heading = append(heading, in.Name)
			continue
		}
		for k := range in.Columns() {
			heading = append(heading, fmt.Sprintf("%s/%d", in.Name, k))
		}
	}
	for i := range s.Responses {
		heading = append(heading, s.Responses[i].Name)
	}
	if err := c.Write(heading); err != nil {
		return err
	}
	for v, err := range samples {
		if err != nil {
			c.Flush()
			return err
		}
		row := append([]string{strconv.Itoa(v.Index)}, texts(v.Inputs...)...)
		for i := range s.Responses {
			row = append(row, texts(v.Outputs[s.Responses[i].Output])...)
		}
		if err := c.Write(row); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// texts are numbers as they read back exactly.
func texts(list ...float64) (out []string) {
	for _, v := range list {
		out = append(out, strconv.FormatFloat(v, 'g', -1, 64))
	}
	return out
}
