// Command bores says how to bring the bores of one casting into line: the best common axis, the move of
// each bore, what to bore it to, and the wall of its sleeve.
//
//	bores [-clean 0.1mm] [-wall 1.5mm] [-unit mm] [-markdown | -json] [-html FILE] [-svg DIR] [FILE]
//
// FILE is a table with a head line: bore, x, y, z, diameter, and where known finished and most, the size
// that the bore has to have and what the casting may be bored out to. Lengths are in the unit, positions
// in the casting's own frame seen from the tail. A bore without most stays as it is. Lines that begin
// with # are skipped. Without a file it takes an invented casting.
package main

import (
	"bytes"
	_ "embed"
	"errors"
	"flag"
	"io"
	"os"

	"example.com/borestack/align/advise/bores"
	"example.com/borestack/examples/internal/answer"
	"example.com/borestack/tolerance"
)

//go:embed casting.csv
var demonstration []byte

func main() {
	c := bores.Casting{Clean: 0.1 * tolerance.Millimetre, Wall: 1.5 * tolerance.Millimetre}
	flag.TextVar(&c.Clean, "clean", c.Clean, "least depth of a cut all round")
	flag.TextVar(&c.Wall, "wall", c.Wall, "least wall of a sleeve")
	name := flag.String("unit", "mm", "unit of the table: mm, in, um or thou")
	var form answer.Form
	form.Flags("BORES.csv")
	flag.Parse()
	files, err := answer.Files(demonstration)
	if err == nil {
		err = run(files[0], c, *name, form, os.Stdout)
	}
	answer.End("bores", err)
}

// run reads the table and writes what to do.
func run(text []byte, c bores.Casting, name string, form answer.Form, out io.Writer) error {
	unit, err := tolerance.ParseUnit(name)
	if err != nil {
		return err
	}
	if c.Bores, err = bores.ReadTable(bytes.NewReader(text), unit); err != nil {
		return err
	}
	l, err := c.Align()
	if err != nil {
		return err
	}
	if err := form.Write(out, l.Page(unit)); err != nil || l.Passes() {
		return err
	}
	return errors.New("a bore cannot be brought into line within what the casting allows")
}
