package stackup

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"iter"
	"strconv"
)

// Sample is one sample of a study.
type Sample struct {
	Index   int       // for [Study.Sample]
	Inputs  []float64 // deviations, column by column
	Outputs []float64 // of the model
}

// Samples draws and evaluates the samples of [Study.Run], one after the other in the caller's goroutine: the same seed
// gives the same samples. Of the settings, Workers and Progress are not used. An error, of which there is one at most,
// is the last thing that comes: a fault of the study, a [fault.SampleError], or, when ctx is done, one that wraps its
// cause. Samples may be kept.
func (s *Study) Samples(ctx context.Context, set Settings) iter.Seq2[Sample, error] {
	return func(yield func(Sample, error) bool) {
		if err := s.Validate(); err != nil {
			yield(Sample{}, err)
			return
		}
		from, to, err := set.blockRange()
		if err != nil {
			yield(Sample{}, err)
			return
		}
		w := NewSampler(ctx, s)
		for block := from; block < to; block++ {
			if err := w.Stopped(); err != nil {
				yield(Sample{}, fmt.Errorf("stackup: sample %d: %w", block*BlockSize, err))
				return
			}
			more := true
			err := w.block("", set.Seed, block, set.Samples, func(at, n int) error {
				for i := 0; i < n && more; i++ {
					more = yield(w.row(at, i), nil)
				}
				if !more {
					return errEnough
				}
				return nil
			})
			switch {
			case !more:
				return
			case err != nil:
				yield(Sample{}, raise(err, true))
				return
			}
		}
	}
}

// errEnough ends a block of samples that nobody wants more of.
var errEnough = errors.New("enough")

// row copies row i of the batch that begins with sample at.
func (w *Sampler) row(at, i int) Sample {
	both := make([]float64, len(w.X)+len(w.Y))
	for c, x := range w.X {
		both[c] = x[i]
	}
	for c, y := range w.Y {
		both[len(w.X)+c] = y[i]
	}
	n := len(w.X)
	return Sample{Index: at + i, Inputs: both[:n:n], Outputs: both[n:]}
}

// WriteCSV writes what every response of the accumulator came to as a table (RFC 4180), one row each, under a heading.
// units are those of the responses, in order; what is missing is left empty.
//
// The columns: name; unit, in which mean to most are (skewness has none); samples, and how many of them are infinite;
// mean, sd and skewness, with the standard errors of mean and sd; least and most; good, the samples within limits;
// yield, a share of 1, with its standard error and the ends of its 95 % interval.
func (t *Accumulator) WriteCSV(w io.Writer, units ...string) error {
	c := csv.NewWriter(w)
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
	return c.WriteAll(rows)
}

// texts are numbers as they read back exactly.
func texts(list ...float64) (out []string) {
	for _, v := range list {
		out = append(out, strconv.FormatFloat(v, 'g', -1, 64))
	}
	return out
}

// WriteSamplesCSV writes samples of a study as a table (RFC 4180) under a heading: the sample's index, the deviations
// of the inputs (a plane law's as name/x and name/y, a joint law's as name/0 and so on), and the responses, each
// in the unit of the model. It returns the error that the samples end with, after what came before it is written.
func (s *Study) WriteSamplesCSV(w io.Writer, samples iter.Seq2[Sample, error]) error {
	c := csv.NewWriter(w)
	heading := []string{"sample"}
	for i := range s.Inputs {
		heading = append(heading, s.Inputs[i].columnNames()...)
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

// columnNames name the input's columns.
func (in *Input) columnNames() (out []string) {
	switch {
	case in.Law != nil:
		return []string{in.Name}
	case in.Plane != nil:
		return []string{in.Name + "/x", in.Name + "/y"}
	}
	for k := range in.Columns() {
		out = append(out, fmt.Sprintf("%s/%d", in.Name, k))
	}
	return out
}
