// Command driveline says whether the shafts of a stacked machine can run true.
//
// Usage:
//
//	driveline [-full | -json | -check] [-html FILE] [-samples N] [-seed N] [-blocks A-B | -merge FILES] [FILE [READINGS.csv]]
//
// Without a file it runs the demonstration record that it carries: an invented harbour launch's two-speed reduction box. With a file name, or "-" for standard input, it runs that record.
//
// A second file is a table of readings that fill the record, such as the blank that measure -blank prints: its first line names its columns (place, reading, and station, clock or unit), as RECORD.md says. A decimal comma is understood where no comma parts the cells, and said on standard error.
//
// What it prints is one screen: the verdict, what is uncertain or missing, one picture, and up to three things to do. -full prints the whole report below that, -json the report as JSON and nothing else. -check prints the record back in words and computes no verdict.
//
// -html also writes the report as one self-contained page with pictures to that file.
//
// -samples and -seed set the study of what varies; a record in which nothing varies has none. -blocks runs some of its blocks of 1,024 samples alone and prints what they came to; -merge takes the study from such files, which must hold every block once. So a batch queue can spread a study over machines, and the answer is the same to the last bit.
//
// The exit status is 0 when at least one limit is given and all pass, 1 for every other verdict, 2 when the input is wrong (one message for each fault, on standard error), and 3 for anything else. -check exits 0 when the record decodes.
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
	"strings"

	"example.com/borestack/align/record"
	"example.com/borestack/align/report"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/tolerance"
)

// demonstration is an invented record.
//
//go:embed harbour-launch.json
var demonstration []byte

// usualSamples is how many samples a record gets that asks for none: enough to tell a yield near 0.999 to a hundredth of a percent, and some seconds of two cores where every sample looks for its worst over the float.
const usualSamples = 100_000

// Exit statuses.
const (
	allPass    = 0
	notAllPass = 1
	wrongInput = 2
	otherwise  = 3
)

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// run is the command; it returns the exit status.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	flags := flag.NewFlagSet("driveline", flag.ContinueOnError)
	flags.SetOutput(stderr)
	asJSON := flags.Bool("json", false, "print the report as JSON and nothing else")
	full := flags.Bool("full", false, "print the whole report, not its first screen alone")
	check := flags.Bool("check", false, "print the record back in words, without a verdict")
	samples := flags.Int("samples", usualSamples, "samples of the study, for records in which something varies")
	seed := flags.Uint64("seed", 1, "seed of the study")
	blocks := flags.String("blocks", "", "run the study's blocks A-B alone, B not included, and print what -merge reads")
	merge := flags.String("merge", "", "take the study from these files of -blocks, with commas between them")
	page := flags.String("html", "", "also write the report as one self-contained page with pictures to this file")
	flags.Usage = func() {
		fmt.Fprintln(stderr, "usage: driveline [-full | -json | -check] [-html FILE] [-samples N] [-seed N] [-blocks A-B | -merge FILES] [FILE [READINGS.csv]]   (\"-\": standard input; no file: the demonstration)")
		flags.PrintDefaults()
	}
	names, err := parse(flags, args)
	switch {
	case errors.Is(err, flag.ErrHelp):
		return allPass
	case err != nil:
		return wrongInput
	}
	if len(names) > 2 || (*asJSON && *check) || (*full && (*asJSON || *check)) || (*page != "" && (*check || *blocks != "")) {
		flags.Usage()
		return wrongInput
	}
	rec, status := read(names, stdin, stderr)
	if rec == nil {
		return status
	}
	if *check {
		if err := report.Check(stdout, rec); err != nil {
			return tell(stderr, err, otherwise)
		}
		return allPass
	}
	set := stackup.Settings{Samples: *samples, Seed: *seed}
	if *blocks != "" {
		return shard(stdout, stderr, rec, set, *blocks)
	}
	res, err := study.Run(context.Background(), rec)
	if err != nil {
		return tell(stderr, err, statusOf(err))
	}
	if res.Variations, err = variations(rec, set, *merge); err != nil {
		return tell(stderr, err, statusOf(err))
	}
	if *page != "" {
		if err := writePage(*page, rec, res); err != nil {
			return tell(stderr, err, otherwise)
		}
	}
	write := firstScreen
	switch {
	case *asJSON:
		write = report.JSON
	case *full:
		write = report.Text
	}
	if err := write(stdout, rec, res); err != nil {
		return tell(stderr, err, otherwise)
	}
	if res.Word == tolerance.Pass {
		return allPass
	}
	return notAllPass
}

// firstScreen writes the short answer, and where the rest is.
func firstScreen(w io.Writer, rec *record.Record, res *study.Result) error {
	var b bytes.Buffer
	if err := report.Short(&b, rec, res); err != nil {
		return err
	}
	b.WriteString("  Every reason, table and step: the same command with -full\n")
	_, err := b.WriteTo(w)
	return err
}

// writePage writes the report as a page to a file; a report that cannot be made leaves no file.
func writePage(name string, rec *record.Record, res *study.Result) error {
	var b bytes.Buffer
	if err := report.HTML(&b, rec, res); err != nil {
		return err
	}
	return os.WriteFile(name, b.Bytes(), 0o644)
}

// variations studies what varies, here or from the shards in files.
func variations(rec *record.Record, set stackup.Settings, files string) ([]*study.Variation, error) {
	if files == "" {
		return study.Vary(context.Background(), rec, set)
	}
	var shards [][]byte
	for _, name := range strings.Split(files, ",") {
		b, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		shards = append(shards, b)
	}
	return study.Merge(context.Background(), rec, shards)
}

// shard runs some blocks of the study and prints them.
func shard(stdout, stderr io.Writer, rec *record.Record, set stackup.Settings, blocks string) int {
	if _, err := fmt.Sscanf(blocks, "%d-%d", &set.From, &set.To); err != nil {
		return tell(stderr, fmt.Errorf("-blocks %q: want A-B, such as 0-16", blocks), wrongInput)
	}
	b, err := study.Shard(context.Background(), rec, set)
	if err != nil {
		return tell(stderr, err, statusOf(err))
	}
	if _, err := stdout.Write(append(b, '\n')); err != nil {
		return tell(stderr, err, otherwise)
	}
	return allPass
}

// parse reads flags before and after the file name, and returns the names.
func parse(flags *flag.FlagSet, args []string) (names []string, err error) {
	for {
		if err := flags.Parse(args); err != nil {
			return nil, err
		}
		if flags.NArg() == 0 {
			return names, nil
		}
		names, args = append(names, flags.Arg(0)), flags.Args()[1:]
	}
}

// open finds the record to read: a file, standard input, or the demonstration. Nil: it could not, and the status says why.
func open(name string, stdin io.Reader, stderr io.Writer) (io.ReadCloser, int) {
	switch name {
	case "":
		return io.NopCloser(bytes.NewReader(demonstration)), 0
	case "-":
		return io.NopCloser(stdin), 0
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, tell(stderr, err, wrongInput)
	}
	return f, 0
}

// read decodes the record that the arguments name, filled with the readings of a second file if there is one. Nil: it could not, and the status says why.
func read(names []string, stdin io.Reader, stderr io.Writer) (*record.Record, int) {
	in, status := open(strings.Join(names[:min(1, len(names))], ""), stdin, stderr)
	if in == nil {
		return nil, status
	}
	defer in.Close()
	if len(names) < 2 {
		rec, err := record.Decode(in)
		if err != nil {
			return nil, tell(stderr, err, wrongInput)
		}
		return rec, 0
	}
	table, err := os.Open(names[1])
	if err != nil {
		return nil, tell(stderr, err, wrongInput)
	}
	defer table.Close()
	rec, notes, err := record.Fill(in, table)
	if err != nil {
		return nil, tell(stderr, err, wrongInput)
	}
	for _, note := range notes {
		fmt.Fprintf(stderr, "driveline: %s: %s\n", names[1], note)
	}
	return rec, 0
}

// tell prints one line for each of the errors that err joins, and returns the status.
func tell(stderr io.Writer, err error, status int) int {
	for _, line := range strings.Split(err.Error(), "\n") { // joined errors stand on a line each
		fmt.Fprintln(stderr, "driveline:", line)
	}
	return status
}

// statusOf tells wrong input from what this program cannot do.
func statusOf(err error) int {
	var f *fault.FieldError
	if errors.As(err, &f) && !errors.Is(err, fault.ErrNotConverging) {
		return wrongInput
	}
	return otherwise
}
