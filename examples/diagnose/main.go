// Command diagnose says which deviation of which part can explain what is seen on a box that runs rough,
// and the one measurement that would tell.
//
// Usage:
//
//	diagnose [-markdown | -json] [-html FILE] [-svg DIR] [-fault 8] [-place 0.01mm] [-bore 0.008mm]
//	         [-length 0.03mm] [-face 0.00005] [-square 0.00005] [RECORD SIGHTS]
//
// RECORD is the box as drawn, or as it was measured when it was well; SIGHTS is a table with the columns
// seen and of, and at, value, clock, u, radius where a sight has them (see the package documentation of
// align/advise/diagnose). Without them it takes an invented harbour launch. The other flags are how parts
// of your own making scatter, as standard deviations: lengths, and slopes.
package main

import (
	"bytes"
	"context"
	_ "embed"
	"flag"
	"io"
	"os"

	"example.com/borestack/align/advise/diagnose"
	"example.com/borestack/examples/internal/answer"
)

//go:embed launch.json
var box []byte

//go:embed seen.csv
var sights []byte

func main() {
	var p diagnose.Process
	var form answer.Form
	form.Flags("RECORD.json SIGHTS.csv")
	flag.Float64Var(&p.Fault, "fault", 0, "how many times larger than the usual scatter a fault is; 0: 8")
	flag.TextVar(&p.Place, "place", p.Place, "scatter of parts beside each other at a joint; 0: 0.01 mm")
	flag.TextVar(&p.Bore, "bore", p.Bore, "scatter of a bore in its part; 0: 0.008 mm")
	flag.TextVar(&p.Length, "length", p.Length, "scatter of a part's length, or a gasket's thickness; 0: 0.03 mm")
	flag.Float64Var(&p.Face, "face", 0, "scatter of faces out of parallel at a joint, a slope; 0: 0.00005")
	flag.Float64Var(&p.Square, "square", 0, "scatter of a bore out of square, a slope; 0: 0.00005")
	flag.Parse()
	files, err := answer.Files(box, sights)
	if err == nil {
		err = run(files[0], files[1], p, form, os.Stdout)
	}
	answer.End("diagnose", err)
}

// run explains the sights of a box.
func run(text, table []byte, p diagnose.Process, form answer.Form, out io.Writer) error {
	rec, unit, err := answer.Record(text)
	if err != nil {
		return err
	}
	s, err := rec.Stack()
	if err != nil {
		return err
	}
	seen, err := diagnose.ReadTable(bytes.NewReader(table), unit)
	if err != nil {
		return err
	}
	f, err := diagnose.Explain(context.Background(), s, seen, p)
	if err != nil {
		return err
	}
	return form.Write(out, f.Page(unit))
}
