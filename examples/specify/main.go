// Command specify says what a drawing has to call out so that boxes hold the limits of a record, at least
// cost, and what given callouts hold.
//
// Usage:
//
//	specify [-yield 0.99] [-zones FILE] [-samples 20000] [-markdown | -json] [-svg DIR] [RECORD]
//
// Without -yield no box within the zones leaves a limit. -zones checks callouts instead: a line for each,
// its size in the record's unit and its name as -list prints it. The record is taken as drawn: square, on
// centre, readings replaced by their means. Without one it takes an invented harbour launch.
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

	"example.com/borestack/align"
	"example.com/borestack/align/advise/specify"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

//go:embed launch.json
var demonstration []byte

func main() {
	var a specify.Ask
	yield := flag.Float64("yield", 0, "share of boxes that must hold every limit; 0: the worst case")
	zones := flag.String("zones", "", "`FILE` of callouts to check")
	list := flag.Bool("list", false, "print the names of the callouts that the record allows")
	var as string
	flag.BoolFunc("markdown", "print Markdown", func(string) error { as = "markdown"; return nil })
	flag.BoolFunc("json", "print JSON", func(string) error { as = "json"; return nil })
	svg := flag.String("svg", "", "write pictures into this `DIR`ectory")
	flag.IntVar(&a.Samples, "samples", 0, "boxes drawn for a yield; 0: 20,000")
	flag.Parse()
	a.Yield = tolerance.Optional[float64]{Value: *yield, Given: *yield > 0}
	text, sizes, err := demonstration, []byte(nil), error(nil)
	if flag.NArg() == 1 {
		text, err = os.ReadFile(flag.Arg(0))
	}
	if err == nil && *zones != "" {
		sizes, err = os.ReadFile(*zones)
	}
	if err == nil {
		err = run(text, sizes, a, *list, as, *svg, os.Stdout)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "specify:", err)
		os.Exit(2)
	}
}

// run lists callouts, finds their sizes, or checks those of a file.
func run(text, sizes []byte, a specify.Ask, list bool, as, svg string, out io.Writer) error {
	rec, err := record.Decode(bytes.NewReader(text))
	if err != nil {
		return err
	}
	unit, err := tolerance.ParseUnit(rec.Units.Length)
	if err != nil {
		return err
	}
	s, err := rec.Stack()
	if err != nil {
		return err
	}
	if a.Stack, err = specify.Drawn(s); err != nil {
		return err
	}
	for _, l := range rec.Limits() {
		if l.Output.What != align.ThicknessVariation { // of readings, which a drawing has none of
			a.Limits = append(a.Limits, l)
		}
	}
	a.Callouts = specify.Callouts(a.Stack)
	find := a.Specify
	switch {
	case list:
		for i := range a.Callouts {
			fmt.Fprintln(out, a.Callouts[i].Name())
		}
		return nil
	case sizes != nil:
		if err := specify.ReadZones(a.Callouts, string(sizes), unit); err != nil {
			return err
		}
		find = a.Check
	}
	r, err := find(context.Background())
	if err != nil {
		return err
	}
	if svg != "" {
		pictures, err := r.Pictures(unit)
		for name, text := range pictures {
			err = errors.Join(err, os.WriteFile(filepath.Join(svg, name+".svg"), text, 0o644))
		}
		if err != nil {
			return err
		}
	}
	switch as {
	case "markdown":
		return r.Markdown(out, unit)
	case "json":
		return r.JSON(out, unit)
	}
	return r.Text(out, unit)
}
