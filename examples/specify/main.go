// Command specify says what a drawing has to call out so that boxes hold the limits of a record, at least
// cost, and what given callouts hold.
//
// Usage:
//
//	specify [-yield 0.99] [-zones FILE] [-samples 20000] [-markdown | -json] [-html FILE] [-svg DIR] [RECORD]
//
// Without -yield no box within the zones leaves a limit. -zones says a line for each callout: its size in the
// record's unit, all of which are checked, or "?" for one to find; weight=3 where it costs more than others, and
// m=0.018 for a hole at maximum material that may be so much larger; and its name as -list prints it. The record is taken as drawn: square, on
// centre, readings replaced by their means. Without one it takes an invented harbour launch.
package main

import (
	"context"
	_ "embed"
	"flag"
	"fmt"
	"io"
	"os"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/advise/specify"
	"example.com/borestack/examples/internal/answer"
	"example.com/borestack/tolerance"
)

//go:embed launch.json
var demonstration []byte

func main() {
	var a specify.Ask
	yield := flag.Float64("yield", 0, "share of boxes that must hold every limit; 0: the worst case")
	zones := flag.String("zones", "", "`FILE` of callouts: sizes to check, or ? with weights")
	list := flag.Bool("list", false, "print the names of the callouts that the record allows")
	var form answer.Form
	form.Flags("RECORD.json")
	flag.IntVar(&a.Samples, "samples", 0, "boxes drawn for a yield; 0: 20,000")
	flag.Parse()
	a.Yield = tolerance.Optional[float64]{Value: *yield, Given: *yield != 0}
	files, err := answer.Files(demonstration)
	var sizes []byte
	if err == nil && *zones != "" {
		sizes, err = os.ReadFile(*zones)
	}
	if err == nil {
		err = run(files[0], sizes, a, *list, form, os.Stdout)
	}
	answer.End("specify", err)
}

// run lists callouts, finds their sizes, or checks those of a file.
func run(text, sizes []byte, a specify.Ask, list bool, form answer.Form, out io.Writer) error {
	rec, unit, err := answer.Record(text)
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
	a.Callouts = specify.Callouts(a.Stack, a.Limits...)
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
		if slices.ContainsFunc(a.Callouts, func(c specify.Callout) bool { return c.Zone > 0 }) {
			find = a.Check
		}
	}
	r, err := find(context.Background())
	if err != nil {
		return err
	}
	return form.Write(out, r.Page(unit))
}
