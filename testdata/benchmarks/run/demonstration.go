//go:build unix

package main

import (
	"fmt"
	"os"
	"strings"
	"time"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/stackup"
)

// demonstrationFile is the invented box of examples/driveline, from the module's root.
const demonstrationFile = "examples/driveline/harbour-launch.json"

// demonstration is that box as a record.
func demonstration() (*record.Record, error) {
	f, err := os.Open(demonstrationFile)
	if err != nil {
		return nil, fmt.Errorf("run it from the module's root: %w", err)
	}
	defer f.Close()
	return record.Decode(f)
}

// looseDemonstration is the same with joints that lie anywhere in every sample too: nothing is said
// of how they lie, as in most records.
func looseDemonstration() (*record.Record, error) {
	rec, err := demonstration()
	if err != nil {
		return nil, err
	}
	var vary []record.Vary
	for _, v := range rec.Vary {
		if v.Float == "" {
			vary = append(vary, v)
		}
	}
	rec.Vary = vary
	var text strings.Builder
	if err := rec.Encode(&text); err != nil {
		return nil, err
	}
	return record.Decode(strings.NewReader(text.String()))
}

// lineOutputs are worst and best margin and use.
var lineOutputs = []align.Output{{What: align.Margin}, {What: align.Use}, {What: align.Margin, Best: true}, {What: align.Use, Best: true}}

// threeSupports is the demonstration with one shaft in three bearings.
func threeSupports(s align.Stack) align.Stack {
	s = s.Clone()
	s.Shafts, s.Pockets, s.Candidates, s.States = s.Shafts[1:], nil, nil, nil
	sh := &s.Shafts[0]
	sh.Supports = append([]align.Support{{Bore: "case/front bearing", Clearance: 0.03}}, sh.Supports...)
	sh.Supports[2].Kind, sh.Supports[2].Width = align.Bearing, 0
	return s
}

// sampleTime is the processor time of one evaluation of a box by its plan.
func sampleTime(s align.Stack, out []align.Output) (time.Duration, error) {
	p, err := s.Compile(nil, nil, out)
	if err != nil {
		return 0, err
	}
	e := p.NewEvaluator()
	y := make([][]float64, len(out))
	for i := range y {
		y[i] = make([]float64, 1)
	}
	return each(func() error { return e.Evaluate(y, nil, 1) })
}

// everything solves a box, its states and its candidates, with ranges.
func everything(s align.Stack) error {
	all := []align.Stack{s}
	for _, st := range s.States {
		in, err := s.InState(st.Name)
		if err != nil {
			return err
		}
		all = append(all, in)
	}
	for _, c := range s.Candidates {
		for n := range c.Parts {
			with, err := s.WithCandidate(c.Place, n)
			if err != nil {
				return err
			}
			all = append(all, with)
		}
	}
	for _, b := range all {
		if _, err := b.Solve(); err != nil {
			return err
		}
	}
	return nil
}

// boxes is the time of one sample over the floats, and of one box.
func boxes(t *table) error {
	t.line("\nThe demonstration (two shafts, a pocket, five supports, three joints that lie anywhere)")
	rec, err := demonstration()
	if err != nil {
		return err
	}
	s, err := rec.Stack()
	if err != nil {
		return err
	}
	three := threeSupports(s)
	for _, c := range []struct {
		what, unit, goal string
		each             time.Duration // what it is counted in
		do               func() (time.Duration, error)
	}{
		{"one sample: best and worst margin and use over the floats", " µs", "60", time.Microsecond, func() (time.Duration, error) { return sampleTime(s, lineOutputs) }},
		{"one sample of one shaft on three supports", " µs", "15", time.Microsecond, func() (time.Duration, error) { return sampleTime(three, lineOutputs) }},
		{"Solve", " ms", "", time.Millisecond, func() (time.Duration, error) { return each(func() error { _, err := s.Solve(); return err }) }},
		{"Solve, with its states and candidates", " ms", "5", time.Millisecond, func() (time.Duration, error) { return each(func() error { return everything(s) }) }},
		{"all verdicts with guard bands (study.Run)", " ms", "", time.Millisecond, func() (time.Duration, error) {
			return each(func() error { _, err := study.Run(t.ctx, rec); return err })
		}},
	} {
		var f figures
		for range t.rounds() {
			d, err := c.do()
			if err != nil {
				return err
			}
			f = append(f, float64(d)/float64(c.each))
		}
		t.row(c.what, f, c.unit, c.goal)
	}
	return nil
}

// studies is the time of a study of the usual size.
func studies(t *table) error {
	samples, note := 100_000, ""
	if t.quick {
		samples, note = 10_000, ", taken from a tenth"
	}
	t.line("\nA study of 100,000 samples of the demonstration%s", note)
	for _, c := range []struct {
		what string
		of   func() (*record.Record, error)
		goal string
	}{
		{"floats drawn, as the record says", demonstration, ""},
		{"joints that lie anywhere in every sample", looseDemonstration, "20: 10 s on two processors"},
	} {
		rec, err := c.of()
		if err != nil {
			return err
		}
		var used, wall figures
		for range min(3, t.rounds()) {
			from, at := processorTime(), wallTime()
			if _, err := study.Vary(t.ctx, rec, stackup.Settings{Samples: samples, Seed: 1, Workers: 2}); err != nil {
				return err
			}
			scale := 100_000 / float64(samples)
			used = append(used, scale*(processorTime()-from).Seconds())
			wall = append(wall, scale*(wallTime()-at).Seconds())
		}
		t.row(c.what, used, " s", c.goal)
		t.row("  by wall time, two workers", wall, " s", "")
	}
	return nil
}
