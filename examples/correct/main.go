// Command correct says what to correct in a box that does not run true, and prints the work sheets.
//
// Usage:
//
//	correct [-markdown] [FILE]
//
// Without a file it runs the record that it carries: an invented harbour launch whose plate is thick on
// one side. What the shop can do and has is the record's key "shop", as RECORD.md says; for a record that
// names none, what any shop can do is tried, and said.
package main

import (
	"bytes"
	"context"
	_ "embed"
	"flag"
	"fmt"
	"io"
	"os"
	"time"

	"example.com/borestack/align/advise"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

//go:embed harbour-launch.json
var demonstration []byte

// noShop is said of a record that names no shop.
const noShop = `The record names no shop: pushing, candidates, offset dowels and dowelling in place were tried.
What yours can do and has (skims, shims, bushes, least thicknesses) goes under "shop": see RECORD.md.`

func main() {
	markdown := flag.Bool("markdown", false, "print the sheets as Markdown")
	flag.Parse()
	text := demonstration
	if flag.NArg() > 0 {
		var err error
		if text, err = os.ReadFile(flag.Arg(0)); err != nil {
			fmt.Fprintln(os.Stderr, "correct:", err)
			os.Exit(2)
		}
	}
	if err := run(text, *markdown, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "correct:", err)
		os.Exit(2)
	}
}

// run ranks what the shop can do about a record, and prints the sheets of the best and of the simplest.
func run(text []byte, markdown bool, out io.Writer) error {
	rec, err := record.Decode(bytes.NewReader(text))
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
	unit, err := tolerance.ParseUnit(rec.Units.Length)
	if err != nil {
		return err
	}
	if err := advice.Text(out, unit); err != nil {
		return err
	}
	if usual {
		fmt.Fprintln(out, "\n"+noShop)
	}
	best, simplest := advice.Best(), advice.Simplest()
	for _, o := range []*advise.Option{simplest, best} {
		if o == nil {
			continue
		}
		sheet, err := advice.Sheet(ctx, o)
		if err != nil {
			return err
		}
		fmt.Fprintln(out)
		write := sheet.Text
		if markdown {
			write = sheet.Markdown
		}
		if err := write(out, unit); err != nil {
			return err
		}
		if simplest == best {
			break
		}
	}
	return nil
}
