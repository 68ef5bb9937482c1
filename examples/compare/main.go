// Command compare says which of the parts on the bench to take: who fits whom, what governs, and whether the gauge can tell them apart.
//
// Usage:
//
//	compare [-audit] [-markdown | -json] [-html FILE] [FILE]
//
// Without a file it runs the record that it carries: three spare plates and a spare tail for an invented harbour launch. -audit adds how sure the verdict is on the parts measured in place, and what it rests on.
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

//go:embed bench.json
var demonstration []byte

func main() {
	var form answer.Form
	form.Flags("RECORD.json")
	audit := flag.Bool("audit", false, "add how sure the verdict is, and what it rests on")
	flag.Parse()
	files, err := answer.Files(demonstration)
	if err == nil {
		err = run(files[0], form, *audit, os.Stdout)
	}
	answer.End("compare", err)
}

// run compares the candidates of a record, all places together.
func run(text []byte, form answer.Form, audit bool, out io.Writer) error {
	rec, unit, err := answer.Record(text)
	if err != nil {
		return err
	}
	box, err := advise.FromRecord(rec)
	if err != nil {
		return err
	}
	c, err := advise.Compare(context.Background(), box)
	if err != nil {
		return err
	}
	page := c.Page(unit)
	if audit {
		a, err := advise.AuditRecord(context.Background(), rec)
		if err != nil {
			return err
		}
		page = page.With(a.Page(unit))
	}
	return form.Write(out, page)
}
