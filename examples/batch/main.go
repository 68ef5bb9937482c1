// Command batch says what measured parts of one kind have in common, whether the gauge will do, and what a
// sampling plan lets through.
//
// Usage:
//
//	batch [-unit mm] [-greatest 0.05mm] [-scatter 0.01mm] [-markdown | -json] [-svg DIR] [FILE]
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
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"example.com/borestack/align/advise/batch"
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
	var as string
	flag.BoolFunc("markdown", "print Markdown", func(string) error { as = "markdown"; return nil })
	flag.BoolFunc("json", "print JSON", func(string) error { as = "json"; return nil })
	svg := flag.String("svg", "", "write pictures into this `DIR`ectory")
	study := flag.Bool("gauge", false, "the table is a gauge study")
	wide := flag.Float64("tolerance", 0, "width of what is allowed, in the unit of the study")
	flag.IntVar(&plan.Sample, "sample", 0, "parts that a sampling plan looks at")
	flag.IntVar(&plan.Accept, "accept", 0, "bad parts with which it still takes the lot")
	flag.IntVar(&plan.Lot, "lot", 0, "parts in the lot; 0: many")
	flag.Parse()
	b.Of, b.Greatest = "the vectors of the table", tolerance.Optional[tolerance.Length]{Value: greatest, Given: greatest > 0}
	text, err := plates, error(nil)
	if *study {
		text = gauge
	}
	if flag.NArg() > 0 {
		text, err = os.ReadFile(flag.Arg(0))
	}
	switch {
	case err != nil:
	case plan.Sample > 0 && as == "json":
		err = plan.JSON(os.Stdout)
	case plan.Sample > 0:
		err = plan.Text(os.Stdout)
	case *study:
		err = people(text, *wide, as, os.Stdout)
	default:
		err = parts(text, b, *unit, as, *svg, os.Stdout)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "batch:", err)
		os.Exit(2)
	}
}

// parts says what the parts of a table have in common.
func parts(text []byte, b batch.Batch, name, as, svg string, out io.Writer) error {
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
	if svg != "" {
		pictures, err := f.Pictures(unit)
		for name, text := range pictures {
			err = errors.Join(err, os.WriteFile(filepath.Join(svg, name+".svg"), text, 0o644))
		}
		if err != nil {
			return err
		}
	}
	switch as {
	case "markdown":
		return f.Markdown(out, unit)
	case "json":
		return f.JSON(out, unit)
	}
	return f.Text(out, unit)
}

// people splits a gauge study: by variance, and as it is done on paper.
func people(text []byte, wide float64, as string, out io.Writer) error {
	g, err := batch.ReadStudy(bytes.NewReader(text))
	if err != nil {
		return err
	}
	g.Tolerance = wide
	if as == "json" {
		return g.JSON(out)
	}
	return g.Text(out)
}
