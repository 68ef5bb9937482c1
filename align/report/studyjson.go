package report

import (
	"math"
	"strconv"

	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// study is what varies: "process" gives yields of a batch, "gauge" probabilities for this very box. Where a record holds both,
// the gauge's is "this_box".
func (w writer) study(v *study.Variation) object {
	outputs := []object{}
	for i := range v.Outputs {
		outputs = append(outputs, w.varied(&v.Outputs[i]))
	}
	return obj("because", v.Because, "samples", v.Samples, "seed", v.Seed, "outputs", outputs)
}

// share spells a probability as a key.
func share(p float64) string { return strconv.FormatFloat(p, 'g', -1, 64) }

func (w writer) varied(v *study.Varied) object {
	unit := w.rec.UnitOf(v.Limit.Output)
	// a number in the output's unit; null when it cannot be said
	in := func(x float64) *float64 {
		if x /= unit; math.IsNaN(x) || math.IsInf(x, 0) {
			return nil
		}
		x = unsigned(x)
		return &x
	}
	optional := func(o tolerance.Optional[float64]) *float64 {
		if !o.Given {
			return nil
		}
		return in(o.Value)
	}
	s := v.Sampled
	var mean, sd, meanError, sdError *float64
	if s.Infinite == 0 {
		mean, sd, meanError, sdError = in(s.Mean), in(s.SD), in(s.MeanError), in(s.SDError)
	}
	p, errors, first := map[string]*float64{}, map[string]*float64{}, map[string]*float64{}
	for i, q := range study.Quantiles() {
		x, e := s.Quantile(q)
		p[share(q)], errors[share(q)] = in(x), in(e)
		if v.RSS != nil {
			first[share(q)] = in(v.RSS.Quantiles[i])
		}
	}
	var worst []*float64
	var exact *bool
	if q := v.Worst; q != nil {
		worst, exact = []*float64{optional(q.Least), optional(q.Greatest)}, &q.Exact
	}
	var rss object
	if r := v.RSS; r != nil {
		rss = obj("mean", in(r.Mean), "sd", in(r.SD), "p", sorted(first))
	}
	var yield, yieldError *float64
	var interval []float64
	if v.Limited() {
		yield, yieldError, interval = &s.Yield, &s.YieldError, s.YieldInterval[:]
	}
	return obj(
		"output", w.output(v.Limit),
		"nominal", optional(v.Nominal),
		"worst", worst,
		"worst_exact?", exact,
		"unbounded?", v.Unbounded,
		"mean", mean,
		"sd", sd,
		"rss", rss,
		"p", sorted(p),
		"errors", obj("mean", meanError, "sd", sdError, "p", sorted(errors), "yield?", yieldError),
		"least", in(s.Least),
		"least_sample", s.LeastAt,
		"greatest", in(s.Most),
		"greatest_sample", s.MostAt,
		"yield?", yield,
		"yield_interval?", interval,
		"shares", each(v.Shares, func(q *tolerance.Share) object { return obj("input", q.Name, "share", q.Share) }),
		// a tail, the outer tenth of an input's law, that samples which fail lie in so many times as often as others
		"failures_lie_in?", each(v.Causes, func(c *study.Cause) object {
			return obj("input", c.Input, "axis?", axisOf(*c), "tail", tailOf(*c), "times", c.Times, "interval", c.Interval)
		}),
	)
}

// axisOf is which of a pair a cause is about; empty for a single number.
func axisOf(c study.Cause) string {
	if !c.Pair {
		return ""
	}
	return [2]string{"x", "y"}[boolIndex(c.Axis == 1)]
}

func tailOf(c study.Cause) string { return [2]string{"lower", "upper"}[boolIndex(c.Upper)] }

// boolIndex is 1 for what is true.
func boolIndex(b bool) int {
	if b {
		return 1
	}
	return 0
}
