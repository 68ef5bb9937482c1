// Command diagnose says which deviation of which part can explain what is seen on a box that runs rough,
// and the one measurement that would tell.
//
// Usage:
//
//	diagnose [-markdown | -json] [-svg DIR] [-fault 8] [RECORD SIGHTS]
//
// RECORD is the box as drawn, or as it was measured when it was well; SIGHTS is a table with the head line
// seen,of,at,value,clock,u (see the package documentation of align/advise/diagnose). Without them it takes
// an invented harbour launch.
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

	"example.com/borestack/align/advise/diagnose"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

//go:embed launch.json
var box []byte

//go:embed seen.csv
var sights []byte

func main() {
	var p diagnose.Process
	var as string
	flag.BoolFunc("markdown", "print Markdown", func(string) error { as = "markdown"; return nil })
	flag.BoolFunc("json", "print JSON", func(string) error { as = "json"; return nil })
	svg := flag.String("svg", "", "write pictures into this `DIR`ectory")
	flag.Float64Var(&p.Fault, "fault", 0, "how many times larger than the usual scatter a fault is; 0: 8")
	flag.Parse()
	files := [2][]byte{box, sights}
	var err error
	if flag.NArg() > 0 {
		for i := range files {
			if err == nil {
				files[i], err = os.ReadFile(flag.Arg(i))
			}
		}
	}
	if err == nil {
		err = run(files[0], files[1], p, as, *svg, os.Stdout)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "diagnose:", err)
		os.Exit(2)
	}
}

// run explains the sights of a box.
func run(text, table []byte, p diagnose.Process, as, svg string, out io.Writer) error {
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
	seen, err := diagnose.ReadTable(bytes.NewReader(table), unit)
	if err != nil {
		return err
	}
	f, err := diagnose.Explain(context.Background(), s, seen, p)
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
