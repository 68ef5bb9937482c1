// Command correct says what to correct in a box that does not run true, and prints the work sheets.
//
// Usage:
//
//	correct [-markdown] [FILE]
//
// Without a file it runs the record that it carries: an invented harbour launch whose plate is thick on one side. What the shop may do is below, in Go: change it to what yours can.
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

// shop is what this shop may do to the launch's box.
func shop() advise.Shop {
	return advise.Shop{
		Push: true, Swap: true,
		TurnOver: []string{"plate"},
		Reclock:  []advise.ReclockWork{{Part: "plate", Holes: 6, Redrill: true}},
		Dowels:   []advise.DowelWork{{Joint: "carrier to case", Steps: []tolerance.Length{7 * tolerance.Thou, 14 * tolerance.Thou, 21 * tolerance.Thou}}},
		Shims:    []advise.ShimWork{{Joint: "case|plate", Thicknesses: []tolerance.Length{0.2, 0.3, 0.4}, Replace: true, MostTaper: 0.2, Thin: 0.1}},
		Skims: []advise.SkimWork{
			{Face: "plate/rear", Stock: 0.25, Clean: 0.02, Least: tolerance.Given[tolerance.Length](13.75), Wedge: true},
			{Face: "case/rear", Stock: 0.1, Wedge: true}, // nobody said how thin: refused
		},
		Redowel: []advise.RedowelWork{{Joint: "carrier to case", Most: 0.3, Pin: 13}},
		Bores:   []advise.BoreWork{{Bore: "tail/tail bush", Offsets: []tolerance.Length{0.05, 0.1}}},
		Keep:    []string{"plate/front"},
		Step:    0.01, Within: 0.005, Dial: 0.002, Pairs: 1,
		Graduation: 0.01,                                                                         // of the dials that parts are pushed by
		Strips:     []tolerance.Length{0.03, 0.04, 0.05, 0.06, 0.07, 0.08, 0.1, 0.12, 0.15, 0.2}, // feelers, packs included
	}
}

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

// run prints the sheet of the simplest correction that passes, the ranked list of what the shop can do, and the sheet of the best if that is another.
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
	advice, err := advise.Correct(ctx, box, shop())
	if err != nil {
		return err
	}
	unit, err := tolerance.ParseUnit(rec.Units.Length)
	if err != nil {
		return err
	}
	write := (*advise.Page).Text
	if markdown {
		write = (*advise.Page).Markdown
	}
	best, simplest := advice.Best(), advice.Simplest()
	pages := []*advise.Page{advice.Page(unit)}
	if best != nil && best != simplest {
		sheet, err := advice.Sheet(ctx, best)
		if err != nil {
			return err
		}
		pages = append(pages, sheet.Page(unit))
	}
	if simplest != nil { // what to do comes first, the long list after it
		sheet, err := advice.Sheet(ctx, simplest)
		if err != nil {
			return err
		}
		pages = append([]*advise.Page{sheet.Page(unit)}, pages...)
	}
	for i, p := range pages {
		if i > 0 {
			fmt.Fprintln(out)
		}
		if err := write(p, out); err != nil {
			return err
		}
	}
	return nil
}
