// Command correct says what to correct in a box that does not run true, and prints the work sheets.
//
// Usage:
//
//	correct [-markdown | -json] [-html FILE] [FILE]
//
// Without a file it runs the record that it carries: an invented harbour launch whose plate is thick on
// one side. What the shop can do and has is the record's key "shop", as RECORD.md says; for a record that
// names none, what any shop can do is tried, and said.
package main

import (
	"context"
	_ "embed"
	"flag"
	"fmt"
	"io"
	"os"
	"time"

	"example.com/borestack/align/advise"
	"example.com/borestack/examples/internal/answer"
)

//go:embed harbour-launch.json
var demonstration []byte

// noShop is said of a record that names no shop.
const noShop = `The record names no shop: pushing, candidates, offset dowels and dowelling in place were tried.
What yours can do and has (skims, shims, bushes, least thicknesses) goes under "shop": see RECORD.md.`

func main() {
	var form answer.Form
	form.Flags("RECORD.json")
	flag.Parse()
	files, err := answer.Files(demonstration)
	if err == nil {
		err = run(files[0], form, os.Stdout)
	}
	answer.End("correct", err)
}

// run prints the sheet of the simplest correction that passes, the ranked list of what the shop can do, and the sheet of the best if that is another.
func run(text []byte, form answer.Form, out io.Writer) error {
	rec, unit, err := answer.Record(text)
	if err != nil {
		return err
	}
	box, err := advise.FromRecord(rec)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Minute)
	defer cancel()
	shop, usual := advise.ShopOf(rec)
	advice, err := advise.Correct(ctx, box, shop)
	if err != nil {
		return err
	}
	if usual && !form.JSON {
		fmt.Fprintln(out, "\n"+noShop)
	}
	best, simplest := advice.Best(), advice.Simplest()
	page := advice.Page(unit)
	if best != nil && best != simplest {
		sheet, err := advice.Sheet(ctx, best)
		if err != nil {
			return err
		}
		page = page.With(sheet.Page(unit))
	}
	if simplest != nil { // what to do comes first, the long list after it
		sheet, err := advice.Sheet(ctx, simplest)
		if err != nil {
			return err
		}
		page = sheet.Page(unit).With(page)
	}
	return form.Write(out, page)
}
