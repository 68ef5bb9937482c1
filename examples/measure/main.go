// Command measure says which readings to take on a stack, where, in which order and with which gauge, and makes the blank record that they fill.
//
// Usage:
//
//	measure [-blank | -table | -markdown | -json] [-html FILE] [FILE]
//
// Without a file it plans the readings of an invented harbour launch's box. -blank prints the blank
// record and nothing else: write each reading in place of null, and give it to driveline. -table prints
// the same blank as a table for a spreadsheet, a row for each reading: save it as CSV once it is filled
// in, and give driveline the blank and the table.
package main

import (
	"context"
	_ "embed"
	"flag"
	"io"
	"os"

	"example.com/borestack/align/advise"
	"example.com/borestack/examples/internal/answer"
)

//go:embed harbour-launch.json
var demonstration []byte

func main() {
	var form answer.Form
	form.Flags("RECORD.json")
	blank := flag.Bool("blank", false, "print the blank record and nothing else")
	table := flag.Bool("table", false, "print the blank as a table for a spreadsheet and nothing else")
	flag.Parse()
	files, err := answer.Files(demonstration)
	if err == nil {
		err = run(files[0], *blank, *table, form, os.Stdout)
	}
	answer.End("measure", err)
}

// run plans the readings of a record, and writes the plan, the blank or its table.
func run(text []byte, blank, table bool, form answer.Form, out io.Writer) error {
	rec, unit, err := answer.Record(text)
	if err != nil {
		return err
	}
	p, err := advise.Measure(context.Background(), rec)
	if err != nil {
		return err
	}
	switch {
	case blank:
		return p.Blank.Encode(out)
	case table:
		return p.Blank.WriteTable(out)
	}
	return form.Write(out, p.Page(unit))
}
