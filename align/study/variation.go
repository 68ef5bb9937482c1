package study

import (
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/stackup"
	"example.com/borestack/tolerance"
)

// Quantiles are the shares at which a study gives quantiles: 0.9973 is ±3 standard deviations of a normal law.
var quantiles = [...]float64{0.5, 0.9, 0.95, 0.99, 0.9973}

// Quantiles returns the shares at which a study gives quantiles.
func Quantiles() []float64 { return quantiles[:] }

// Variation is how the outputs vary because of one kind of source: the process, which gives the yield of a batch, or the gauge, which gives the probability for this very box. The two are never mixed.
type Variation struct {
	Because string // "process" or "gauge"
	Samples int
	Seed    uint64
	Outputs []Varied
	Floats  []string // joints of which every sample takes the worst of the float
}

// Varied is one output of a study, in its base unit. What cannot be said is absent.
type Varied struct {
	Limit     record.Limit // what it is, and its limits if any
	Nominal   tolerance.Optional[float64]
	Worst     *Worst // nil: some input has no limits, and Unbounded names it
	Unbounded string
	RSS       *Estimate
	Sampled   stackup.Summary
	Shares    []Share // of the variance to first order, by input
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

// Estimate is a law worked out to first order.
type Estimate struct {
	Mean, SD  float64
	Quantiles [len(quantiles)]float64
}

// Share is one input's share of the variance.
type Share struct {
	Input string
	Share float64
}

// dominant is the share of the variance above which one input makes a sum anything but normal.
//
// Source: common practice, no published source.
const dominant = 0.5

// Cautions says where the first-order estimate misleads: few or dominant contributors, which are not a normal sum, a size about no offset, which is never negative and not normal, and a value that the samples put elsewhere.
func (v *Varied) Cautions() []string {
	if v.RSS == nil {
		return nil
	}
	var out []string
	count := 0
	for _, s := range v.Shares {
		if s.Share > dominant {
			out = append(out, "RSS leans on one source, "+s.Input+", whose law it takes as normal: trust the samples")
		}
		if s.Share > 0.01 {
			count++
		}
	}
	if len(out) == 0 && count > 0 && count < 4 {
		out = append(out, "RSS adds up few sources as if normal: trust the samples")
	}
	if sized(v.Limit.Output.What) && v.RSS.SD > 0 && v.Nominal.Or(0) < v.RSS.SD {
		out = append(out, "a size about no offset is never negative: its law is not normal, its mean is not the nominal, and three standard deviations are not its 99.73 %")
	}
	if e := v.Sampled.MeanError; v.Sampled.Infinite == 0 && math.Abs(v.Sampled.Mean-v.RSS.Mean) > math.Max(6*e, v.RSS.SD/4) {
		out = append(out, "the samples' mean is not the first-order one: the output is not linear, or its float counts")
	}
	return out
}
