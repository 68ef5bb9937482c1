// Command diagnose says which deviation of which part can explain what is seen on a box that runs rough,
// and the one measurement that would tell.
//
// Usage:
//
//	diagnose [-markdown | -json] [-html FILE] [-svg DIR] [-fault 8] [RECORD SIGHTS]
//
// RECORD is the box as drawn, or as it was measured when it was well; SIGHTS is a table with the head line
// seen,of,at,value,clock,u (see the package documentation of align/advise/diagnose). Without them it takes
// an invented harbour launch.
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
