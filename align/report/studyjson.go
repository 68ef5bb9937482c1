package report

import (
	"math"
	"strconv"

	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// study fills the document of one variation, in the record's units.
func (w writer) study(v *study.Variation) *studyDoc {
	d := &studyDoc{Because: v.Because, Samples: v.Samples, Seed: v.Seed, Outputs: []variedDoc{}}
	for i := range v.Outputs {
		d.Outputs = append(d.Outputs, w.varied(&v.Outputs[i]))
	}
	return d
}

// said is a number in the given unit; null when it cannot be said.
func said(v, unit float64) *float64 {
	if v /= unit; math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	v = unsigned(v)
	return &v
}

// share spells a probability as a key.
func share(p float64) string { return strconv.FormatFloat(p, 'g', -1, 64) }

func (w writer) varied(v *study.Varied) variedDoc {
	l := v.Limit
	unit := w.rec.UnitOf(l.Output)
	in := func(x float64) *float64 { return said(x, unit) }
	optional := func(o tolerance.Optional[float64]) *float64 {
		if !o.Given {
			return nil
		}
		return in(o.Value)
	}
	s := v.Sampled
	d := variedDoc{
		Output: outputDoc{record.OutputKind(l.Output.What), l.Output.Of, l.Output.From, l.State}, Nominal: optional(v.Nominal), Unbounded: v.Unbounded,
		P: map[string]*float64{}, Errors: errorsDoc{P: map[string]*float64{}}, Shares: []shareDoc{},
		Least: in(s.Least), LeastSample: s.LeastAt, Greatest: in(s.Most), Sample: s.MostAt,
	}
	if q := v.Worst; q != nil {
		d.Worst = &[2]*float64{optional(q.Least), optional(q.Greatest)}
		d.WorstExact = &q.Exact
	}
	if s.Infinite == 0 {
		d.Mean, d.SD, d.Errors.Mean, d.Errors.SD = in(s.Mean), in(s.SD), in(s.MeanError), in(s.SDError)
	}
	for _, p := range study.Quantiles() {
		x, e := s.Quantile(p)
		d.P[share(p)], d.Errors.P[share(p)] = in(x), in(e)
	}
	if v.Limited() {
		y, e, between := s.Yield, s.YieldError, s.YieldInterval
		d.Yield, d.Errors.Yield, d.YieldInterval = &y, &e, &between
	}
	if r := v.RSS; r != nil {
		d.RSS = &estimateDoc{in(r.Mean), in(r.SD), map[string]*float64{}}
		for i, p := range study.Quantiles() {
			d.RSS.P[share(p)] = in(r.Quantiles[i])
		}
	}
	for _, q := range v.Shares {
		d.Shares = append(d.Shares, shareDoc{q.Name, q.Share})
	}
	for _, c := range v.Causes {
		d.Causes = append(d.Causes, causeDoc{c.Input, axisOf(c), tailOf(c), c.Times, c.Interval})
	}
	return d
}

// axisOf is which of a pair a cause is about; empty for a single number.
func axisOf(c study.Cause) string {
	switch {
	case !c.Pair:
		return ""
	case c.Axis == 1:
		return "y"
	}
	return "x"
}

func tailOf(c study.Cause) string {
	if c.Upper {
		return "upper"
	}
	return "lower"
}
