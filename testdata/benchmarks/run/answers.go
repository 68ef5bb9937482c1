//go:build unix

package main

import (
	"fmt"
	"math"
	"time"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/estimate"
	"example.com/borestack/tolerance"
)

// marginPlan compiles a record's box with what the record says that varies, floats drawn, and its
// margin as the output.
func marginPlan(rec *record.Record) (*align.Plan, []stackup.Input, error) {
	s, err := rec.Stack()
	if err != nil {
		return nil, nil, err
	}
	numbers, err := rec.Numbers(nil)
	if err != nil {
		return nil, nil, err
	}
	var sources []align.Source
	var laws []stackup.Input
	for i := range rec.Vary {
		v := &rec.Vary[i]
		if v.Float != "" {
			continue
		}
		alone, pair, err := v.Distribution(rec.LengthUnit())
		if err != nil {
			return nil, nil, err
		}
		laws = append(laws, stackup.Input{Name: v.Name, Law: alone, Plane: pair})
		for axis := range v.At.List {
			moves, err := movesOf(numbers, v, axis)
			if err != nil {
				return nil, nil, err
			}
			sources = append(sources, align.Source{Name: v.Name, Moves: moves})
		}
	}
	lies := make([]align.Lie, len(s.Joints))
	for i := range lies {
		lies[i] = align.LiesUniform
	}
	p, err := s.Compile(sources, lies, []align.Output{{What: align.Margin}})
	return p, laws, err
}

// movesOf is what one column of a source moves.
func movesOf(numbers *record.Numbers, v *record.Vary, axis int) ([]align.Move, error) {
	moves, err := numbers.Moves(v.At.List[axis])
	if err != nil {
		return nil, err
	}
	for _, also := range v.Also {
		more, err := numbers.Moves(also.At.List[axis])
		if err != nil {
			return nil, err
		}
		gain := 1.0
		if also.Gain != nil {
			gain = also.Gain.Value
		}
		for _, m := range more {
			moves = append(moves, align.Move{Of: m.Of, Gain: m.Gain * gain})
		}
	}
	return moves, nil
}

// precision is the wanted standard error of a share of failures, as a share of it.
const precision = 0.01

// answers compares the automatic estimator with plain Monte Carlo by the time to the same standard
// error of a yield.
func answers(t *table) error {
	t.line("\nTime to an answer: a yield of the demonstration to a standard error of %g %% of its failures", 100*precision)
	rec, err := demonstration()
	if err != nil {
		return err
	}
	p, laws, err := marginPlan(rec)
	if err != nil {
		return err
	}
	plain, each, err := t.plainSamples(p, laws)
	if err != nil {
		return err
	}
	t.line("  plain: %s a sample, here; its time is that of p(1 - p)/error² samples", each)
	if t.ofC > 0 {
		t.line("  plain in C: the same samples at what C needs of the library's time for stack-3, %.2f", t.ofC)
	}
	t.line("  %-10s %-24s %-14s %12s %10s %14s %12s %s", "yield", "failures", "by", "samples", "time", "plain samples", "plain time", "of plain")
	for _, failing := range []float64{0.1, 0.01, 1e-3, 1e-4, 1e-5} {
		least, _ := plain.Summary(0).Quantile(failing)
		st, err := study.Of(p, laws, stackup.Response{Name: "margin", Limits: tolerance.AtLeast(least)})
		if err != nil {
			return err
		}
		if err := t.answer(st, failing, each); err != nil {
			return err
		}
	}
	return nil
}

// plainSamples is a plain study to take limits from, and the processor time of one of its samples.
func (t *table) plainSamples(p *align.Plan, laws []stackup.Input) (*stackup.Accumulator, time.Duration, error) {
	samples := 4_000_000
	if t.quick {
		samples = 500_000
	}
	st, err := study.Of(p, laws)
	if err != nil {
		return nil, 0, err
	}
	from := processorTime()
	acc, err := st.Run(t.ctx, stackup.Settings{Samples: samples, Seed: 17, Workers: 1})
	return acc, (processorTime() - from) / time.Duration(samples), err
}

// answer is one line: the estimator's time, and that of plain Monte Carlo to the same error.
func (t *table) answer(st *stackup.Study, failing float64, each time.Duration) error {
	const most = 20_000_000
	from := processorTime()
	a, err := estimate.Run(t.ctx, st, estimate.Goal{Of: estimate.OfYield, Error: precision * failing}, stackup.Settings{Samples: most, Seed: 5, Workers: 1})
	if err != nil {
		return err
	}
	used := processorTime() - from
	p := 1 - a.Value
	samples := p * (1 - p) / (a.Error * a.Error)
	plain := samples * each.Seconds()
	of := fmt.Sprintf("1/%.3g", plain/used.Seconds())
	if t.ofC > 0 {
		of += fmt.Sprintf(", of C's 1/%.3g", t.ofC*plain/used.Seconds())
	}
	if !a.Reached {
		of += "; not reached"
	}
	if math.IsInf(samples, 0) || math.IsNaN(samples) {
		of = "no error given"
	}
	t.line("  %-10.6g %-24s %-14s %12d %9.3gs %14.3g %11.3gs %s", 1-failing, fmt.Sprintf("%.4g ± %.1g", p, a.Error), short[a.Method], a.Evaluations, used.Seconds(), samples, plain, of)
	t.line("    %s", a.Why)
	return nil
}

// short are the ways to sample in a word or two.
var short = map[estimate.Method]string{
	estimate.ByRandom: "random", estimate.ByQuasiMonteCarlo: "quasi", estimate.ByDesignPoints: "design points",
}
