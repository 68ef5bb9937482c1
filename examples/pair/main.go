// Command pair says which part goes with which: the most boxes that pass from bins of measured parts, the
// worst of them as good as can be, and what would use the parts that are left over.
//
//	pair [-markdown | -json] [-html FILE] [-svg DIR] [-turn PART:HOLES[:redrill]]... [-place PLACE]... [-more FILE] [FILE]
//
// FILE is a record: a part in its place is the first of its bin, its candidates are the others; without
// one it pairs invented bins. -turn lets a part be turned by steps of its hole pattern; with redrill its
// dowel holes may be drilled anew. -place names the bins, up to three; else all that have candidates.
package main

import (
	"context"
	_ "embed"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"example.com/borestack/align/advise"
	"example.com/borestack/align/advise/pair"
	"example.com/borestack/examples/internal/answer"
	"example.com/borestack/tolerance"
)

//go:embed bins.json
var demonstration []byte

func main() {
	var box pair.Box
	var form answer.Form
	var more string
	flag.StringVar(&more, "more", "", "`FILE` of the same bins with parts that arrived since: their combinations alone are new")
	form.Flags("RECORD.json")
	flag.Func("turn", "let `PART:HOLES[:redrill]` be turned by steps of its hole pattern", func(v string) error {
		w, err := parseTurn(v)
		box.Turns = append(box.Turns, w)
		return err
	})
	flag.Func("place", "a `PLACE` whose parts are to be paired", func(v string) error {
		box.Places = append(box.Places, v)
		return nil
	})
	flag.Parse()
	files, err := answer.Files(demonstration)
	if err == nil {
		err = run(files[0], more, box, form, os.Stdout)
	}
	answer.End("pair", err)
}

// run pairs the bins of a record, and of one with more parts.
func run(text []byte, more string, box pair.Box, form answer.Form, out io.Writer) error {
	own, unit, err := decode(text)
	if err != nil {
		return err
	}
	box.Box = own
	table, err := pair.Try(context.Background(), box)
	if err == nil && more != "" {
		if text, err = os.ReadFile(more); err == nil {
			if own, _, err = decode(text); err == nil {
				table, err = table.Extend(context.Background(), own)
			}
		}
	}
	if err != nil {
		return err
	}
	var sizes []string
	for _, bin := range table.Bins() {
		sizes = append(sizes, strconv.Itoa(len(bin)))
	}
	fmt.Fprintf(os.Stderr, "bins of %s: %d combinations\n", strings.Join(sizes, ", "), table.Combinations())
	p, err := table.Choose(context.Background())
	if err != nil {
		return err
	}
	return form.Write(out, p.Page(unit))
}

// decode is the box of a record, and the unit of its lengths.
func decode(text []byte) (advise.Box, tolerance.Unit, error) {
	rec, unit, err := answer.Record(text)
	if err != nil {
		return advise.Box{}, 0, err
	}
	box, err := advise.FromRecord(rec)
	return box, unit, err
}

// parseTurn reads PART:HOLES[:redrill].
func parseTurn(v string) (w pair.Turn, err error) {
	field := strings.Split(v, ":")
	if len(field) < 2 || len(field) > 3 || len(field) == 3 && field[2] != "redrill" {
		return w, errors.New("want PART:HOLES or PART:HOLES:redrill, such as plate:6")
	}
	w.Part, w.Redrill = field[0], len(field) == 3
	if w.Holes, err = strconv.Atoi(field[1]); err != nil {
		return w, fmt.Errorf("%q holes: want a whole number", field[1])
	}
	return w, nil
}
