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

// marginPlan compiles a record's box with what the record says that varies, all joints lying so, and
// its margin as the output.
func marginPlan(rec *record.Record, lie align.Lie) (*align.Plan, []stackup.Input, error) {
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
		laws = append(laws, stackup.Input{Name: v.Name, Law: alone, Joint: pair})
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
		lies[i] = lie
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
	t.line("\nTime to an answer: a yield of the demonstration's margin, to a standard error of %g %% of its failures or for as long as allowed", 100*precision)
	t.line("  time: of the estimator, trials included; plain: p(1 - p)/error² samples of plain Monte Carlo here, for the error that the estimator came to; its time from that of a sample")
	if t.ofC > 0 {
		t.line("  of C: the same samples at what C needs of the library's time for stack-3, %.2f of it", t.ofC)
	}
	for _, c := range []struct {
		what         string
		of           func() (*record.Record, error)
		lies         align.Lie
		samples, try int
	}{
		{"floats drawn", demonstration, align.LiesUniform, 4_000_000, 4_000_000},
		{"joints that lie anywhere: the worst over the floats", looseDemonstration, align.LiesAny, 400_000, 400_000},
	} {
		if t.quick {
			c.samples, c.try = c.samples/8, c.try/8
		}
		rec, err := c.of()
		if err != nil {
			return err
		}
		p, laws, err := marginPlan(rec, c.lies)
		if err != nil {
			return err
		}
		plain, each, err := t.plainSamples(p, laws, c.samples)
		if err != nil {
			return err
		}
		t.line("  %s: a sample takes %v; limits are quantiles of %d samples", c.what, rounded(each), c.samples)
		t.line("    %-10s %-20s %-14s %9s %8s %14s %10s  %s", "yield", "failures", "by", "samples", "time", "plain samples", "plain time", "time of plain")
		for _, failing := range []float64{0.1, 0.01, 1e-3, 1e-4, 1e-5} {
			least, _ := plain.Summary(0).Quantile(failing)
			st, err := study.Of(p, laws, stackup.Response{Name: "margin", Limits: tolerance.AtLeast(least)})
			if err != nil {
				return err
			}
			if err := t.answer(st, failing, each, c.try); err != nil {
				return err
			}
		}
	}
	return nil
}

// plainSamples is a plain study to take limits from, and the processor time of one of its samples.
func (t *table) plainSamples(p *align.Plan, laws []stackup.Input, samples int) (*stackup.Accumulator, time.Duration, error) {
	st, err := study.Of(p, laws)
	if err != nil {
		return nil, 0, err
	}
	from := processorTime()
	acc, err := st.Run(t.ctx, stackup.Settings{Samples: samples, Seed: 17, Workers: 1})
	return acc, (processorTime() - from) / time.Duration(samples), err
}

// answer is one line: the estimator's time, and that of plain Monte Carlo to the same error.
func (t *table) answer(st *stackup.Study, failing float64, each time.Duration, most int) error {
	from := processorTime()
	a, err := estimate.Run(t.ctx, st, estimate.Goal{Of: estimate.OfYield, Error: precision * failing}, stackup.Settings{Samples: most, Seed: 5, Workers: 1})
	if err != nil {
		return err
	}
	used := processorTime() - from
	p := 1 - a.Value
	samples := p * (1 - p) / (a.Error * a.Error)
	plain := samples * each.Seconds()
	of := share(plain / used.Seconds())
	if t.ofC > 0 {
		of += ", of C " + share(t.ofC*plain/used.Seconds())
	}
	if !a.Reached {
		of += "; error not reached, or in doubt"
	}
	if math.IsInf(samples, 0) || math.IsNaN(samples) {
		of = "no error given"
	}
	t.line("    %-10.6g %-20s %-14s %9d %7.3gs %14.3g %9.3gs  %s", 1-failing, fmt.Sprintf("%.4g ± %.1g", p, a.Error), short[a.Method], a.Evaluations, used.Seconds(), samples, plain, of)
	return nil
}

// share is how large a part something so many times as quick is.
func share(times float64) string {
	if times < 1 {
		return fmt.Sprintf("%.2g times", 1/times)
	}
	return fmt.Sprintf("1/%.2g", times)
}

// short are the ways to sample in a word or two.
var short = map[estimate.Method]string{
	estimate.ByRandom: "random", estimate.ByQuasiMonteCarlo: "quasi", estimate.ByLines: "lines",
}
