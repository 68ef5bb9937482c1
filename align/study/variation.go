package study

import (
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/stackup"
	"example.com/borestack/tolerance"
)

// Quantiles are the shares at which a study gives quantiles: 0.9973 is ±3 standard deviations of a
// normal distribution.
var quantiles = [...]float64{0.5, 0.9, 0.95, 0.99, 0.9973}

// Quantiles returns the shares at which a study gives quantiles.
func Quantiles() []float64 { return quantiles[:] }

// Variation is how the outputs vary because of one kind of source: the process, which gives the
// yield of a batch, or the gauge, which gives the probability for this very box. The two are never
// mixed.
type Variation struct {
	Because string // "process" or "gauge"
	Samples int
	Seed    uint64
	Outputs []Varied
	Floats  []string // joints of which every sample takes the worst of the float
	Stopped bool     // the context ended it: the outputs are those that were sampled, Samples the fewest that one of them has

	made string // digest of the record that it was made of
}

// Varied is one output of a study, in its base unit. What cannot be said is absent.
type Varied struct {
	Limit     record.Limit // what it is, and its limits if any
	Nominal   tolerance.Optional[float64]
	Worst     *Worst // nil: some input has no limits, and Unbounded names it
	Unbounded string
	RSS       *Estimate
	Sampled   stackup.Summary
	Shares    []tolerance.Share // of the variance to first order, by input
	Causes    []Cause           // of failing, the strongest first; none where few samples fail, or samples take the worst of a float
}

// Limited reports whether there is something to hold: a limit, or that the box assembles.
func (v *Varied) Limited() bool {
	return v.Limit.Least.Given || v.Limit.Greatest.Given || v.Limit.Output.What == align.Assembles
}

// Worst is the worst case over all deviations within their limits.
type Worst struct {
	Least, Greatest tolerance.Optional[float64]
	Exact           bool // a sum of sets worked out exactly; else the worst found by search
}

// Estimate is a distribution worked out to first order.
type Estimate struct {
	Mean, SD  float64
	Quantiles [len(quantiles)]float64
	Bent      string // an input that moves the output otherwise than along a line, so that the first order says little; empty: no sign of one
}

// Of the cautions.
//
// Source: common practice, no published source.
const (
	dominant  = 0.5 // share of the variance above which one input makes a sum anything but normal
	misleads  = 0.1 // share of the way from mean to far quantile by which the first-order quantile may be off
	fewInputs = 4
)

// Cautions says why the first-order estimate misleads, where it does: where an input moves the
// output otherwise than along a line, and where its far quantile is off the samples' by more than
// their error and a tenth of the spread. Few or dominant contributors are not a normal sum; a size
// about no offset is never negative; anything else is not linear, or its float counts.
func (v *Varied) Cautions() []string {
	if v.RSS == nil {
		return nil
	}
	var out []string
	if v.RSS.Bent != "" {
		out = append(out, v.RSS.Bent+" moves it otherwise than along a line, of which the first order, and so RSS, says little: trust the samples")
	}
	if v.Sampled.Infinite > 0 {
		return out
	}
	last := len(quantiles) - 1
	far, e := v.Sampled.Quantile(quantiles[last])
	off := math.Abs(v.RSS.Quantiles[last] - far)
	if off <= 4*e || off <= misleads*math.Abs(far-v.Sampled.Mean) {
		return out
	}
	count, strongest := 0, tolerance.Share{}
	for _, s := range v.Shares {
		if s.Share > strongest.Share {
			strongest = s
		}
		if s.Share > 0.01 {
			count++
		}
	}
	switch {
	case strongest.Share > dominant:
		out = append(out, "RSS leans on one source, "+strongest.Name+", whose law it takes as normal: trust the samples")
	case count > 0 && count < fewInputs:
		out = append(out, "RSS adds up few sources as if normal: trust the samples")
	}
	if sized(v.Limit.Output.What) && v.Nominal.Or(0) < v.RSS.SD {
		out = append(out, "a size about no offset is never negative, and its mean is not the nominal: trust the samples")
	}
	if len(out) == 0 {
		out = append(out, "the output is not linear, or its float counts: trust the samples, not RSS")
	}
	return out
}
