package report

import (
	"fmt"
	"io"
	"math"
	"sort"

	"example.com/borestack/align/draw"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// bars is how many bars a histogram has: of ten thousand samples the fullest hold some hundreds.
const bars = 40

// variation draws, for every output of a study, its distribution and what contributes to it.
func (a *album) variation(c *paper.Section, q *study.Variation) {
	note := fmt.Sprintf("%d samples, seed %d (%s).", q.Samples, q.Seed, q.Because)
	for i := range most(c, len(q.Outputs)) {
		o := &q.Outputs[i]
		what := outputShort(o.Limit.Output)
		if b, ok := a.t.bins(o); ok {
			b.Note = note
			a.draw(&c.Gallery, "How the samples of "+what+" lie.", func(w io.Writer, opt draw.Options) error {
				return draw.Histogram(w, b, opt)
			})
		}
		if s := contributions(o); len(s.Shares) > 0 {
			s.Note = "Shares of the variance, to first order."
			a.draw(&c.Gallery, "What contributes to "+what+".", func(w io.Writer, opt draw.Options) error {
				return draw.Shares(w, s, opt)
			})
		}
	}
}

// bins is an output's distribution, between its least and its greatest sample. False: there is nothing to see.
func (t *teller) bins(o *study.Varied) (draw.Bins, bool) {
	s := o.Sampled
	unit, size := quantity.Of(o.Limit.Output.What).Measure.Unit(t.p.Unit)
	// what rounding alone spreads is no distribution
	const rounding = 1e-9
	if size == 0 || s.Infinite >= s.Samples || !(s.Most-s.Least > rounding*size) {
		return draw.Bins{}, false
	}
	h, ok := s.Histogram(o.Limit.Limits, bars)
	if !ok {
		return draw.Bins{}, false
	}
	h.Nominal = o.Nominal
	return draw.BinsOf(h, outputShort(o.Limit.Output), unit, size), true
}

// mostShares is how many contributions a picture names; the rest it draws as not told apart.
const mostShares = 12

// contributions are the shares of an output's variance, the largest first.
func contributions(o *study.Varied) draw.Contributions {
	c := draw.Contributions{Of: outputShort(o.Limit.Output)}
	for _, s := range o.Shares {
		if s.Share > 0 {
			c.Shares = append(c.Shares, tolerance.Share{Name: s.Name, Share: math.Min(s.Share, 1)})
		}
	}
	sort.SliceStable(c.Shares, func(i, k int) bool { return c.Shares[i].Share > c.Shares[k].Share })
	c.Shares = c.Shares[:min(len(c.Shares), mostShares)]
	return c
}
