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
	"example.com/borestack/stackup"
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

// bins is an output's distribution, between its least and its greatest sample. False: there is nothing to see.
func (t *teller) bins(o *study.Varied) (draw.Bins, bool) {
	s := o.Sampled
	unit, size := quantity.Of(o.Limit.Output.What).Measure.Unit(t.p.Unit)
	// what rounding alone spreads is no distribution
	const rounding = 1e-9
	if size == 0 || s.Infinite >= s.Samples || !(s.Most-s.Least > rounding*math.Max(math.Abs(s.Most), math.Abs(s.Least))) || !(s.Most-s.Least > rounding*size) {
		return draw.Bins{}, false
	}
	list := binsBetween(o)
	if len(list) == 0 {
		return draw.Bins{}, false
	}
	scaled := func(l tolerance.Optional[float64]) tolerance.Optional[float64] {
		l.Value /= size
		return l
	}
	b := draw.Bins{
		Quantity: outputShort(o.Limit.Output), Unit: unit, Edges: []float64{list[0].Low / size},
		Limits: tolerance.Limits{Least: scaled(o.Limit.Least), Greatest: scaled(o.Limit.Greatest)}, Nominal: scaled(o.Nominal),
		Counts: wholeCounts(list, o),
	}
	if low, _ := s.Quantile(0); math.IsInf(low, -1) {
		b.Under = s.Infinite
	} else {
		b.Over = s.Infinite
	}
	for _, q := range list {
		b.Edges = append(b.Edges, q.High/size)
	}
	return b, true
}

// binsBetween are bins from the least to the greatest sample; a limit between them is an edge, so that no bar is half good.
func binsBetween(o *study.Varied) []stackup.Bin {
	s := o.Sampled
	cuts := []float64{s.Least}
	for _, l := range []tolerance.Optional[float64]{o.Limit.Least, o.Limit.Greatest} {
		if l.Given && l.Value > cuts[len(cuts)-1] && l.Value < s.Most {
			cuts = append(cuts, l.Value)
		}
	}
	cuts = append(cuts, s.Most)
	var out []stackup.Bin
	for i := 1; i < len(cuts); i++ {
		n := max(1, int(math.Round(bars*(cuts[i]-cuts[i-1])/(s.Most-s.Least))))
		list, err := s.Bins(cuts[i-1], cuts[i], n)
		if err != nil || !(list[0].Low < list[0].High) {
			return nil
		}
		list[0].Low, list[n-1].High = cuts[i-1], cuts[i]
		out = append(out, list...)
	}
	for i := range out { // bins of a sliver are no bins
		if !(out[i].Low < out[i].High) {
			return nil
		}
	}
	return out
}

// wholeCounts rounds what the bins hold to whole samples. Bins inside the limits hold together as many as the yield says, those outside the others, as far as buckets that a limit cuts explain the difference.
func wholeCounts(list []stackup.Bin, o *study.Varied) []int {
	s := o.Sampled
	var inside, outside []int
	var in, out float64
	for i, b := range list {
		middle := (b.Low + b.High) / 2
		if l := o.Limit; (l.Least.Given && middle < l.Least.Value) || (l.Greatest.Given && middle > l.Greatest.Value) {
			outside, out = append(outside, i), out+b.Count
		} else {
			inside, in = append(inside, i), in+b.Count
		}
	}
	total := s.Samples - s.Infinite
	// buckets are cut by a limit at most twice, and a bucket rarely holds one sample in fifty
	const bucket = 0.02
	good := int(math.Round(float64(total) * in / (in + out)))
	if math.Abs(float64(s.Good-good)) <= 1+bucket*float64(total) && s.Good <= total {
		good = s.Good
	}
	counts := make([]int, len(list))
	apportion(counts, list, inside, good)
	apportion(counts, list, outside, total-good)
	return counts
}

// apportion gives the bins of one group whole counts in proportion that add up to n: the remainders that are largest are rounded up.
func apportion(counts []int, list []stackup.Bin, group []int, n int) {
	sum := 0.0
	for _, i := range group {
		sum += list[i].Count
	}
	if sum <= 0 || n <= 0 {
		return
	}
	type part struct {
		i    int
		rest float64
	}
	var parts []part
	left := n
	for _, i := range group {
		share := float64(n) * list[i].Count / sum
		counts[i] = int(share)
		left -= counts[i]
		parts = append(parts, part{i, share - math.Floor(share)})
	}
	sort.SliceStable(parts, func(a, b int) bool { return parts[a].rest > parts[b].rest })
	for k := 0; k < left && k < len(parts); k++ {
		counts[parts[k].i]++
	}
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
