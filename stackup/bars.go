package stackup

import (
	"cmp"
	"math"
	"slices"

	"example.com/borestack/tolerance"
)

// Histogram is samples in bars, ready to be drawn: a limit among the samples is an edge, so that no bar is half good.
// It is made by [Summary.Histogram].
type Histogram struct {
	Edges       []float64 // rising, one more than Counts
	Counts      []int
	Under, Over int                         // samples without a finite value, below and above
	Limits      tolerance.Limits            // as given
	Nominal     tolerance.Optional[float64] // at zero deviation; 0 where that is not finite
}

// roundingSpread is how little samples may spread, as a share of their size, and still be a distribution: less is
// rounding.
const roundingSpread = 1e-9

// Histogram returns the samples in about so many bars from the least to the greatest. It is false when they do not
// spread.
func (s Summary) Histogram(limits tolerance.Limits, bars int) (h Histogram, ok bool) {
	size := math.Max(math.Abs(s.Most), math.Abs(s.Least))
	if s.Infinite >= s.Samples || bars < 1 || !(s.Most-s.Least > roundingSpread*size) {
		return h, false
	}
	list := s.bins(limits, bars)
	shape := &s.t.shapes[s.i]
	h = Histogram{Edges: []float64{list[0].low}, Under: int(shape.under), Over: int(shape.over), Limits: limits, Nominal: tolerance.Given(shape.centre)}
	for _, b := range list {
		if !(b.low < b.high) { // bins of a sliver are no bins
			return Histogram{}, false
		}
		h.Edges = append(h.Edges, b.high)
	}
	h.Counts = s.wholeCounts(list, limits)
	return h, true
}

// bin is one bar of a histogram.
type bin struct {
	low, high float64
	count     float64 // samples; shares of a bucket that two bins cut are split evenly
}

// bins are about so many bins from the least to the greatest sample, with the limits between them as edges.
func (s Summary) bins(limits tolerance.Limits, bars int) (out []bin) {
	cuts := []float64{s.Least}
	for _, l := range []tolerance.Optional[float64]{limits.Least, limits.Greatest} {
		if l.Given && l.Value > cuts[len(cuts)-1] && l.Value < s.Most {
			cuts = append(cuts, l.Value)
		}
	}
	cells := s.t.shapes[s.i].cells()
	cuts = append(cuts, s.Most)
	for i := 1; i < len(cuts); i++ {
		low, high := cuts[i-1], cuts[i]
		n := max(1, int(math.Round(float64(bars)*(high-low)/(s.Most-s.Least))))
		list := make([]bin, n)
		w := (high - low) / float64(n)
		for k := range list {
			list[k].low, list[k].high = low+float64(k)*w, low+float64(k+1)*w
		}
		for _, c := range cells {
			a, b := math.Max(c.low, s.Least), math.Min(c.high, s.Most)
			first, last := int(math.Floor((a-low)/w)), int(math.Floor((b-low)/w))
			for k := max(first, 0); k <= min(last, n-1); k++ {
				share := 1.0
				if b > a {
					share = math.Max(math.Min(b, list[k].high)-math.Max(a, list[k].low), 0) / (b - a)
				}
				list[k].count += share * float64(c.count)
			}
		}
		list[0].low, list[n-1].high = low, high
		out = append(out, list...)
	}
	return out
}

// bucketShare is the share of samples that a bucket cut by a limit may hold: buckets are cut at most twice, and one
// rarely holds one sample in fifty.
const bucketShare = 0.02

// wholeCounts rounds what the bins hold to whole samples. Bins inside the limits hold together as many as the yield
// says, those outside the others, as far as buckets that a limit cuts explain the difference.
func (s Summary) wholeCounts(list []bin, limits tolerance.Limits) []int {
	var inside, outside []int
	var in, out float64
	for i, b := range list {
		middle := (b.low + b.high) / 2
		if l := limits; (l.Least.Given && middle < l.Least.Value) || (l.Greatest.Given && middle > l.Greatest.Value) {
			outside, out = append(outside, i), out+b.count
		} else {
			inside, in = append(inside, i), in+b.count
		}
	}
	total := s.Samples - s.Infinite
	good := int(math.Round(float64(total) * in / (in + out)))
	if math.Abs(float64(s.Good-good)) <= 1+bucketShare*float64(total) && s.Good <= total {
		good = s.Good
	}
	counts := make([]int, len(list))
	apportion(counts, list, inside, good)
	apportion(counts, list, outside, total-good)
	return counts
}

// apportion gives the bins of one group whole counts in proportion that add up to n: the remainders that are largest
// are rounded up.
func apportion(counts []int, list []bin, group []int, n int) {
	sum := 0.0
	for _, i := range group {
		sum += list[i].count
	}
	if sum <= 0 || n <= 0 {
		return
	}
	rest := make([]float64, len(list))
	left := n
	for _, i := range group {
		share := float64(n) * list[i].count / sum
		counts[i] = int(share)
		left -= counts[i]
		rest[i] = share - math.Floor(share)
	}
	slices.SortStableFunc(group, func(a, b int) int { return cmp.Compare(rest[b], rest[a]) })
	for _, i := range group[:min(max(left, 0), len(group))] {
		counts[i]++
	}
}
