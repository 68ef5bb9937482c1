package stackup

import (
	"math"
	"sort"

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
	list := s.binsBetween(limits, bars)
	if len(list) == 0 {
		return h, false
	}
	h = Histogram{Edges: []float64{list[0].low}, Counts: s.wholeCounts(list, limits), Limits: limits, Nominal: tolerance.Given(s.t.shapes[s.i].centre)}
	for _, b := range list {
		h.Edges = append(h.Edges, b.high)
	}
	shape := &s.t.shapes[s.i]
	h.Under, h.Over = int(shape.under), int(shape.over)
	return h, true
}

// binsBetween are bins from the least to the greatest sample, with the limits between them as edges.
func (s Summary) binsBetween(limits tolerance.Limits, bars int) []bin {
	cuts := []float64{s.Least}
	for _, l := range []tolerance.Optional[float64]{limits.Least, limits.Greatest} {
		if l.Given && l.Value > cuts[len(cuts)-1] && l.Value < s.Most {
			cuts = append(cuts, l.Value)
		}
	}
	cuts = append(cuts, s.Most)
	var out []bin
	for i := 1; i < len(cuts); i++ {
		n := max(1, int(math.Round(float64(bars)*(cuts[i]-cuts[i-1])/(s.Most-s.Least))))
		list, err := s.bins(cuts[i-1], cuts[i], n)
		if err != nil || !(list[0].low < list[0].high) {
			return nil
		}
		list[0].low, list[n-1].high = cuts[i-1], cuts[i]
		out = append(out, list...)
	}
	for i := range out { // bins of a sliver are no bins
		if !(out[i].low < out[i].high) {
			return nil
		}
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
	type part struct {
		i    int
		rest float64
	}
	var parts []part
	left := n
	for _, i := range group {
		share := float64(n) * list[i].count / sum
		counts[i] = int(share)
		left -= counts[i]
		parts = append(parts, part{i, share - math.Floor(share)})
	}
	sort.SliceStable(parts, func(a, b int) bool { return parts[a].rest > parts[b].rest })
	for k := 0; k < left && k < len(parts); k++ {
		counts[parts[k].i]++
	}
}
