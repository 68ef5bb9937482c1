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
	if !ok || s.Infinite >= s.Samples || !(s.Most-s.Least > rounding*math.Max(math.Abs(s.Most), math.Abs(s.Least))) || !(s.Most-s.Least > rounding*size) {
		return draw.Bins{}, false
	}
	list, err := s.Bins(s.Least, s.Most, bars)
	if err != nil {
		return draw.Bins{}, false
	}
	scaled := func(l tolerance.Optional[float64]) tolerance.Optional[float64] {
		l.Value /= size
		return l
	}
	b := draw.Bins{
		Quantity: outputShort(o.Limit.Output), Unit: unit, Edges: []float64{list[0].Low / size},
		Limits: tolerance.Limits{Least: scaled(o.Limit.Least), Greatest: scaled(o.Limit.Greatest)}, Nominal: scaled(o.Nominal),
		Counts: wholeCounts(list), Over: s.Infinite,
	}
	for _, q := range list {
		b.Edges = append(b.Edges, q.High/size)
	}
	return b, true
}
