package report

import (
	"fmt"
	"io"
	"math"
	"sort"

	"example.com/borestack/align"
	"example.com/borestack/align/draw"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// bars is how many bars a histogram has: of ten thousand samples the fullest hold some hundreds.
const bars = 40

// variation draws, for every output of a study, its distribution and what contributes to it.
func (a *album) variation(c *chapter) {
	k := 0
	if c.ID != "variation" { // the second study, of the gauge
		k = 1
	}
	if k >= len(a.v.res.Variations) {
		return
	}
	q := a.v.res.Variations[k]
	note := fmt.Sprintf("%d samples, seed %d (%s).", q.Samples, q.Seed, q.Because)
	for i := range c.most(len(q.Outputs)) {
		o := &q.Outputs[i]
		what := outputShort(o.Limit.Output)
		if b, ok := a.v.bins(o); ok {
			b.Note = note
			a.draw(&c.Gallery, "How the samples of "+what+" lie.", narrowPicture, func(w io.Writer, opt draw.Options) error {
				return draw.Histogram(w, b, opt)
			})
		}
		if s := contributions(o); len(s.Shares) > 0 {
			s.Note = "Shares of the variance, to first order."
			a.draw(&c.Gallery, "What contributes to "+what+".", narrowPicture, func(w io.Writer, opt draw.Options) error {
				return draw.Shares(w, s, opt)
			})
		}
	}
}

// scaleOf is the unit that a picture of an output is labelled with, and its size in the output's base unit. An output that is yes or no has none.
func (v *viewer) scaleOf(q align.Quantity) (unit string, size float64, ok bool) {
	switch q {
	case align.Assembles:
		return "", 0, false
	case align.Use:
		return "%", 0.01, true
	case align.TiltSize:
		return "mrad", 0.001, true
	case align.SideForce:
		return "N", 1, true
	case align.TurnAngle:
		return "°", math.Pi / 180, true
	}
	return v.p.unit.String(), float64(v.p.unit.Size()), true
}

// bins is an output's distribution, between its least and its greatest sample. False: there is nothing to see.
func (v *viewer) bins(o *study.Varied) (draw.Bins, bool) {
	s := o.Sampled
	unit, size, ok := v.scaleOf(o.Limit.Output.What)
	// what rounding alone spreads is no distribution
	const rounding = 1e-9
	if !ok || s.Infinite >= s.Samples || !(s.Most-s.Least > rounding*size) {
		return draw.Bins{}, false
	}
	h, ok := s.Histogram(tolerance.Limits{Least: o.Limit.Least, Greatest: o.Limit.Greatest}, bars)
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
			c.Shares = append(c.Shares, draw.Share{Name: s.Input, Share: math.Min(s.Share, 1)})
		}
	}
	sort.SliceStable(c.Shares, func(i, k int) bool { return c.Shares[i].Share > c.Shares[k].Share })
	c.Shares = c.Shares[:min(len(c.Shares), mostShares)]
	return c
}
