// Command compare says which of the parts on the bench to take: who fits whom, what governs, and whether the gauge can tell them apart.
//
// Usage:
//
//	compare [-markdown] [-audit] [FILE]
//
// Without a file it runs the record that it carries: three spare plates and a spare tail for an invented harbour launch. -audit adds how sure the verdict is on the parts measured in place, and what it rests on.
package main

import (
	"bytes"
	"context"
	_ "embed"
	"flag"
	"fmt"
	"io"
	"os"

	"example.com/borestack/align/advise"
	"example.com/borestack/align/record"
	"example.com/borestack/examples/internal/answer"
	"example.com/borestack/tolerance"
)

//go:embed bench.json
var demonstration []byte

func main() {
	markdown := flag.Bool("markdown", false, "print Markdown")
	audit := flag.Bool("audit", false, "add how sure the verdict is, and what it rests on")
	flag.Parse()
	files, err := answer.Files(demonstration)
	if err == nil {
		err = run(files[0], *markdown, *audit, os.Stdout)
	}
	answer.End("compare", err)
}

// run compares the candidates of a record, all places together.
func run(text []byte, markdown, audit bool, out io.Writer) error {
	rec, err := record.Decode(bytes.NewReader(text))
	if err != nil {
		return err
	}
	box, err := advise.FromRecord(rec)
	if err != nil {
		return err
	}
	unit, err := tolerance.ParseUnit(rec.Units.Length)
	if err != nil {
		return err
	}
	c, err := advise.Compare(context.Background(), box)
	if err != nil {
		return err
	}
	write := (*advise.Page).Text
	if markdown {
		write = (*advise.Page).Markdown
	}
	if err := write(c.Page(unit), out); err != nil || !audit {
		return err
	}
	a, err := advise.AuditRecord(context.Background(), rec)
	if err != nil {
		return err
	}
	fmt.Fprintln(out)
	return write(a.Page(unit), out)
}
