// Command batch says what measured parts of one kind have in common, whether the gauge will do, and what a
// sampling plan lets through.
//
// Usage:
//
//	batch [-unit mm] [-greatest 0.05mm] [-scatter 0.01mm] [-markdown | -json] [-html FILE] [-svg DIR] [FILE]
//	batch -gauge [-json] [-tolerance 0.05] [FILE]
//	batch -sample 80 -accept 2 [-json] [-lot 500]
//
// FILE is a table with a head line. Parts have x and y or size and clock (degrees from 12, seen from the
// tail), and may have part, lay (the fixture's clock position of the part's 12 o'clock) and any labels.
// A gauge study has person, part, reading. Without a file it takes invented plates.
package main

import (
	"bytes"
	"context"
	_ "embed"
	"flag"
	"io"
	"os"

	"example.com/borestack/align/advise/batch"
	"example.com/borestack/align/sheet"
	"example.com/borestack/examples/internal/answer"
	"example.com/borestack/tolerance"
)

//go:embed plates.csv
var plates []byte

//go:embed gauge.csv
var gauge []byte

func main() {
	var b batch.Batch
	var greatest tolerance.Length
	var plan batch.SamplingPlan
	unit := flag.String("unit", "mm", "unit of the table: mm, in, um or thou")
	flag.TextVar(&greatest, "greatest", tolerance.Length(0), "largest size that a part may have")
	flag.TextVar(&b.Scatter, "scatter", tolerance.Length(0), "the process's standard deviation of a component, where it is known")
	var form answer.Form
	form.Flags("TABLE.csv")
	study := flag.Bool("gauge", false, "the table is a gauge study")
	wide := flag.Float64("tolerance", 0, "width of what is allowed, in the unit of the study")
	flag.IntVar(&plan.Sample, "sample", 0, "parts that a sampling plan looks at")
	flag.IntVar(&plan.Accept, "accept", 0, "bad parts with which it still takes the lot")
	flag.IntVar(&plan.Lot, "lot", 0, "parts in the lot; 0: many")
	flag.Parse()
	b.Of, b.Greatest = "the vectors of the table", tolerance.Optional[tolerance.Length]{Value: greatest, Given: greatest != 0}
	carried := plates
	if *study {
		carried = gauge
	}
	files, err := answer.Files(carried)
	switch {
	case err != nil:
	case plan != batch.SamplingPlan{}:
		err = written(plan.Page, form, os.Stdout)
	case *study:
		err = people(files[0], *wide, form, os.Stdout)
	default:
		err = parts(files[0], b, *unit, form, os.Stdout)
	}
	answer.End("batch", err)
}

// parts says what the parts of a table have in common.
func parts(text []byte, b batch.Batch, name string, form answer.Form, out io.Writer) error {
	unit, err := tolerance.ParseUnit(name)
	if err != nil {
		return err
	}
	if b.Pieces, err = batch.ReadTable(bytes.NewReader(text), unit); err != nil {
		return err
	}
	f, err := batch.Find(context.Background(), b)
	if err != nil {
		return err
	}
	return form.Write(out, f.Page(unit))
}

// people splits a gauge study: by variance, and as it is done on paper.
func people(text []byte, wide float64, form answer.Form, out io.Writer) error {
	g, err := batch.ReadStudy(bytes.NewReader(text))
	if err != nil {
		return err
	}
	g.Tolerance = wide
	return written(g.Page, form, out)
}

// written writes a page that is made of numbers that may be at fault.
func written(page func() (*sheet.Page, error), form answer.Form, out io.Writer) error {
	p, err := page()
	if err != nil {
		return err
	}
	return form.Write(out, p)
}
