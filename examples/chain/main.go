// Command chain adds up a plain chain of lengths, no gearbox in it, in several ways side by side: worst case, root sum
// of squares and Monte Carlo, each with its error, as a table and, with -svg FILE, as a picture. All numbers are invented.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log"
	"math"
	"os"
	"strings"
	"text/tabwriter"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// links are the parts of a spindle nose, mm: a bore holds two rings and a spacer, a nut takes up the rest. Inspection
// rejects what is beyond ± tol of the process, whose capability is cpk and whose mean is off by shift.
var links = []struct {
	name                        string
	sign, size, tol, cpk, shift float64
}{
	{"bore depth", 1, 82.00, 0.15, 0.67, -0.03},
	{"front ring", -1, 17.00, 0.06, 1.33, 0},
	{"spacer", -1, 44.50, 0.10, 0.50, 0.02},
	{"rear ring", -1, 17.00, 0.06, 1.33, 0},
	{"nut flange", -1, 3.30, 0.08, 1.00, 0},
}

var limits = [2]float64{0.02, 0.40} // of the end play that is left, mm

func chain() (s *stackup.Study, err error) {
	s = &stackup.Study{Responses: []stackup.Response{{Name: "end play", Limits: tolerance.Between(limits[0], limits[1])}}, Model: stackup.Func{In: len(links), Out: 1, Of: func(y, x []float64) error {
		y[0] = 0
		for i, l := range links {
			y[0] += l.sign * (l.size + x[i])
		}
		return nil
	}}}
	for _, l := range links {
		made, bad := law.FromCpk(-l.tol, l.tol, l.cpk, l.shift)
		kept, none := law.Truncate(made, -l.tol, l.tol)
		s.Inputs, err = append(s.Inputs, stackup.Input{Name: l.name, Law: kept}), errors.Join(err, bad, none)
	}
	return s, err
}

// row is what one way of adding up says: from, to, the standard error of either, and what the way takes for granted.
type row struct {
	way, note       string
	low, high, wide float64
}

// add adds the chain up; the ends leave out 0.27 %, as three standard deviations of a normal law do.
func add(samples int) (rows []row, y stackup.Summary, err error) {
	s, err := chain()
	l, bad := s.Linearise(context.Background())
	acc, none := s.Run(context.Background(), stackup.Settings{Samples: samples, Seed: 1})
	if err = errors.Join(err, bad, none); err != nil {
		return nil, y, err
	}
	least, greatest, _ := l.WorstScalar(s, 0)
	halves, err := l.Contributions(s, 0)
	mid, rss, shifted := l.At[0], stackup.RootSumOfSquares(halves), stackup.MeanShift(halves, 0.25)
	y = acc.Summary(0)
	low, e := y.Quantile(0.0027 / 2)
	high, f := y.Quantile(1 - 0.0027/2)
	return []row{
		{"worst case", "every part at its limit; exact", least.Value, greatest.Value, 0},
		{"root sum of squares", "every tolerance 3 sd of a centred normal law", mid - rss, mid + rss, 0},
		{"mean shift 0.25", "a quarter of every tolerance adds up in full", mid - shifted, mid + shifted, 0},
		{"Monte Carlo", fmt.Sprintf("the processes as they are, %d samples", y.Samples), low, high, math.Max(e, f)},
	}, y, err
}

// picture draws the ways as bars between the limits, four errors wide at their ends.
func picture(rows []row) string {
	const left, wide, pitch = 170, 400, 34
	b := &strings.Builder{}
	size := wide / (rows[0].high - rows[0].low) // of 1 mm
	at := func(v float64) float64 { return left + size*(v-rows[0].low) }
	fmt.Fprintf(b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" font-family="sans-serif" font-size="13"><title>End play, mm, added up in %d ways</title>`, left+wide+60, pitch*len(rows)+50, len(rows))
	for i, r := range rows {
		fmt.Fprintf(b, `<g transform="translate(0 %d)"><text x="8">%s</text><rect x="%.2f" y="-11" width="%.2f" height="12" fill="#8ab"/>`, pitch*i+20, r.way, at(r.low), at(r.high)-at(r.low))
		fmt.Fprintf(b, `<path d="M%.2f -5h%.2fM%.2f -5h%.2f" stroke="#000" stroke-width="5"/><text x="%.2f" y="15">%.3f to %.3f</text></g>`, at(r.low-2*r.wide), 4*r.wide*size, at(r.high-2*r.wide), 4*r.wide*size, at(r.low), r.low, r.high)
	}
	for _, v := range limits {
		fmt.Fprintf(b, `<path d="M%[1]g 4V%[2]d" stroke="#b00"/><text x="%[1]g" y="%[3]d" text-anchor="middle">limit %.2[4]f</text>`, at(v), pitch*len(rows)+20, pitch*len(rows)+36, v)
	}
	return b.String() + "</svg>\n"
}

// run prints the table, and returns the picture.
func run(w io.Writer, samples int) (svg string, err error) {
	rows, y, err := add(samples)
	if err != nil {
		return "", err
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "end play, mm\tfrom\tto\terror\ttakes for granted")
	for _, r := range rows {
		fmt.Fprintf(t, "%s\t%.4f\t%.4f\t%.4f\t%s\n", r.way, r.low, r.high, r.wide, r.note)
	}
	fmt.Fprintf(t, "Within %.2f to %.2f mm: %.3f %% ± %.3f. All numbers are invented.\n", limits[0], limits[1], 100*y.Yield, 100*y.YieldError)
	return picture(rows), t.Flush()
}

func main() {
	file := flag.String("svg", os.DevNull, "write a picture to this file")
	flag.Parse()
	svg, err := run(os.Stdout, 200_000)
	if err = errors.Join(err, os.WriteFile(*file, []byte(svg), 0o644)); err != nil {
		log.Fatal(err)
	}
}
