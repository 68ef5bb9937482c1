//go:build unix

// Command run measures the library and writes the table of its speeds: against the same work written
// by hand for C and numpy where their tools are there, from one thread to two, a sample, a box, a
// study, the time to an answer, how time grows with size, and what the greatest sizes need.
//
//	go run ./testdata/benchmarks/run [-quick] [-only regexp] [-out folder]
//
// Figures are of one interleaved run on one machine, processor time unless said, the middle of the
// rounds with the least and the most. Exit status 1: programs that do the same work disagree, or a
// size that is allowed takes too long or too much memory. No test goes by these figures.
package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"regexp"
	"time"
)

// table is the table in the making.
type table struct {
	ctx   context.Context
	out   io.Writer
	quick bool
	wrong []string // what must not be
	ofC   float64  // the library's speed as a multiple of scalar C's; 0: not measured
}

// line writes one line of the table.
func (t *table) line(format string, args ...any) { fmt.Fprintf(t.out, format+"\n", args...) }

// sections are the parts of the table, in order.
var sections = []struct {
	name string
	do   func(*table) error
}{
	{"peers", peers},
	{"threads", threads},
	{"boxes", boxes},
	{"study", studies},
	{"answer", answers},
	{"growth", growth},
	{"limits", limits},
	{"memory", memory},
}

func main() {
	quick := flag.Bool("quick", false, "fewer rounds and smaller sizes")
	only := flag.String("only", "", "a regular `expression`: only these sections (peers, threads, boxes, study, answer, growth, limits, memory); nothing is kept")
	folder := flag.String("out", "testdata/benchmarks", "the `folder` for DATE.txt; empty: nothing is kept")
	samples := flag.Int("memory", 0, "run this many samples of 40 outputs and nothing else: what the section memory starts, to see what it needs")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if *samples > 0 {
		exit(fortyOutputs(ctx, *samples), nil)
	}
	which, err := regexp.Compile(*only)
	if err != nil {
		exit(err, nil)
	}
	var kept bytes.Buffer
	t := &table{ctx: ctx, out: io.MultiWriter(os.Stdout, &kept), quick: *quick}
	t.machine()
	for _, s := range sections {
		if !which.MatchString(s.name) {
			continue
		}
		if err := s.do(t); err != nil {
			exit(fmt.Errorf("%s: %w", s.name, err), nil)
		}
	}
	t.machineAfter()
	if *only == "" && *folder != "" {
		name := filepath.Join(*folder, time.Now().Format(time.DateOnly)+".txt")
		if err := os.WriteFile(name, kept.Bytes(), 0o644); err != nil {
			exit(err, nil)
		}
	}
	exit(nil, t.wrong)
}

// exit ends the program: 2 when it could not measure, 1 when something must not be.
func exit(err error, wrong []string) {
	if err != nil {
		fmt.Fprintln(os.Stderr, "benchmarks:", err)
		os.Exit(2)
	}
	for _, w := range wrong {
		fmt.Fprintln(os.Stderr, "benchmarks:", w)
	}
	if len(wrong) > 0 {
		os.Exit(1)
	}
	os.Exit(0)
}
