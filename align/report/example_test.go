package report_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"strings"

	"example.com/borestack/align/record"
	"example.com/borestack/align/report"
	"example.com/borestack/align/study"
)

// wedged is an invented record of a case, a plate with a wedge, and a tail.
const wedged = `{"format": "borestack-record/1", "title": "invented: a plate with a wedge", "units": {"length": "mm"},
"parts": [
 {"name": "case", "rear": {"z": 180, "pilot": {"kind": "bore", "centre": [0, 0], "diameter": 150}}, "bores": [{"name": "bearing", "centre": [0, 0, 20]}]},
 {"name": "plate", "front": {"pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 150}}, "rear": {"z": 14, "slope": [0.0001, 0], "pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 150}}, "bores": [{"name": "bearing", "centre": [0, 0, 7]}]},
 {"name": "tail", "front": {"pilot": {"kind": "bore", "centre": [0, 0], "diameter": 150}}, "bores": [{"name": "bush", "centre": [0, 0, 230]}]}],
"joints": [{}, {}],
"shafts": [{"name": "main", "supports": [{"bore": "case/bearing", "clearance": 0.04}, {"bore": "plate/bearing", "clearance": 0.04}, {"bore": "tail/bush", "clearance": 0.1}]}],
"accept": [{"output": {"kind": "margin"}, "least": 0, "because": "the shop's own rule"}]}`

// ask decodes and runs the record: what the examples of writers begin with.
func ask() (*record.Record, *study.Result) {
	rec, err := record.Decode(strings.NewReader(wedged))
	if err != nil {
		panic(err)
	}
	res, err := study.Run(context.Background(), rec)
	if err != nil {
		panic(err)
	}
	return rec, res
}

// From a record to a report: three calls.
func Example() {
	rec, err := record.Decode(strings.NewReader(wedged))
	if err != nil {
		fmt.Println(err)
		return
	}
	res, err := study.Run(context.Background(), rec)
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := report.Text(head(1), rec, res); err != nil {
		fmt.Println(err)
	}
	// Output:
	// PASS: straight shafts have room, as measured, cold, unloaded: 0.020 mm left on radius.
}

// head prints the first lines of what is written to it.
func head(lines int) *first { return &first{lines} }

type first struct{ left int }

// Write prints what of p is in the lines left.
func (f *first) Write(p []byte) (int, error) {
	for rest := p; f.left > 0 && len(rest) > 0; {
		line, after, whole := bytes.Cut(rest, []byte("\n"))
		os.Stdout.Write(line)
		if whole {
			fmt.Println()
			f.left--
		}
		rest = after
	}
	return len(p), nil
}

func ExampleText() {
	rec, res := ask()
	if err := report.Text(head(1), rec, res); err != nil {
		fmt.Println(err)
	}
	// Output:
	// PASS: straight shafts have room, as measured, cold, unloaded: 0.020 mm left on radius.
}

func ExampleJSON() {
	rec, res := ask()
	if err := report.JSON(head(3), rec, res); err != nil {
		fmt.Println(err)
	}
	// Output:
	// {
	//  "format": "borestack-report/1",
	//  "title": "invented: a plate with a wedge",
}

func ExampleHTML() {
	rec, res := ask()
	if err := report.HTML(head(1), rec, res); err != nil {
		fmt.Println(err)
	}
	// Output:
	// <!DOCTYPE html>
}

func ExampleMarkdown() {
	rec, res := ask()
	if err := report.Markdown(head(1), rec, res); err != nil {
		fmt.Println(err)
	}
	// Output:
	// **PASS**: Straight shafts have room, as measured, cold, unloaded: 0.020 mm left on radius.
}

// What was understood, before any number is trusted.
func ExampleCheck() {
	rec, _ := ask()
	if err := report.Check(head(1), rec); err != nil {
		fmt.Println(err)
	}
	// Output:
	// The record in words: invented: a plate with a wedge.
}
