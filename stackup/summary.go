package stackup

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/internal/num"
	"example.com/borestack/tolerance"
)

// Summary is what one response came to.
type Summary struct {
	Name          string
	Samples       int
	Infinite      int // samples without a finite value: left out of mean, SD and extremes, counted in quantiles and yield
	Mean, SD      float64
	MeanError     float64 // standard errors
	SDError       float64
	Skewness      float64
	Least, Most   float64
	LeastAt       int // sample indices, for [Study.Sample]
	MostAt        int
	Good          int        // samples within limits
	Yield         float64    // Good over Samples
	YieldError    float64    // standard error, at least 1/Samples
	YieldInterval [2]float64 // 95 % two-sided, exact (Clopper and Pearson)

	t *Accumulator
	i int
}

// Summary sums up response i. It panics if there is none of that number.
func (t *Accumulator) Summary(i int) Summary {
	m := t.all(i)
	n := float64(t.total)
	s := Summary{
		Name: t.names[i], Samples: int(t.total), Infinite: int(n - m.N), Mean: m.Mean, SD: math.Sqrt(m.variance()),
		SDError: m.sdError(), Least: m.Least, Most: m.Most, LeastAt: int(m.LeastAt), MostAt: int(m.MostAt), Good: int(t.good[i]), t: t, i: i,
	}
	if m.N > 0 {
		s.MeanError = s.SD / math.Sqrt(m.N)
	}
	if m.S2 > 0 {
		s.Skewness = m.S3 / m.N / math.Pow(m.S2/m.N, 1.5)
	}
	if n > 0 {
		s.Yield = float64(s.Good) / n
		s.YieldError = math.Max(math.Sqrt(s.Yield*(1-s.Yield)/n), 1/n)
		s.YieldInterval = num.BinomialInterval(s.Good, s.Samples)
	}
	return s
}

// quantiles are the values below which shares of the samples lie, those within a bucket taken as evenly spread and
// the extremes as they are.
func (s Summary) quantiles() func(p float64) float64 {
	h := &s.t.shapes[s.i]
	cells := h.cells()
	return func(p float64) float64 {
		rank := p * float64(s.Samples)
		if len(cells) == 0 || rank < float64(h.under) {
			if h.under > 0 {
				return math.Inf(-1)
			}
			return math.Inf(1)
		}
		i := sort.Search(len(cells), func(i int) bool { return float64(cells[i].before+cells[i].count) >= rank })
		if i == len(cells) {
			return math.Inf(1)
		}
		c := cells[i]
		low, high := math.Max(c.low, s.Least), math.Min(c.high, s.Most)
		return low + (high-low)*math.Min(math.Max((rank-float64(c.before))/float64(c.count), 0), 1)
	}
}

// Quantile returns the value below which a share p of the samples lies, and its standard error. The value is interpolated within a bucket at most 2⁻⁸ of its deviation from nominal wide; the error is half the distance of the order statistics one standard deviation of the rank to either side.
func (s Summary) Quantile(p float64) (value, standardError float64) {
	at := s.quantiles()
	d := math.Sqrt(p * (1 - p) / float64(s.Samples))
	return at(p), (at(math.Min(p+d, 1)) - at(math.Max(p-d, 0))) / 2
}

// Shortest returns the shortest interval that holds a share p of the samples, interpolated as [Summary.Quantile] is.
//
// Source: JCGM 101:2008, 5.3.4 and 7.7.
func (s Summary) Shortest(p float64) (low, high float64) {
	const starts = 2000
	at := s.quantiles()
	low, high = math.Inf(-1), math.Inf(1)
	for k := range starts + 1 {
		q := (1 - p) * float64(k) / starts
		if a, b := at(q), at(math.Min(q+p, 1)); b-a < high-low {
			low, high = a, b
		}
	}
	return low, high
}

// Figure is an estimate with its doubt.
type Figure struct {
	Value    float64
	Error    float64    // standard error
	Interval [2]float64 // 95 % two-sided
}

// NewFigure has an interval by Student's t with that many degrees of freedom, at least 1; +Inf: normal.
func NewFigure(value, standardError, dof float64) Figure {
	k := num.Coverage(dof) * standardError
	return Figure{value, standardError, [2]float64{value - k, value + k}}
}

// Scatter is the mean of independent results, with the error of their scatter.
func Scatter(results []float64) Figure {
	mean, e := num.Scatter(results)
	return NewFigure(mean, e, float64(len(results)-1))
}

// notNumber is the error of sample i, whose response is none.
func (w *Response) notNumber(i int) error {
	return &fault.SampleError{Index: i, Err: fmt.Errorf("%s is not a number", w.Name)}
}

// infinite is the error of sample i, whose response v is not finite.
func (w *Response) infinite(i int, v float64) error {
	return &fault.SampleError{Index: i, Err: fmt.Errorf("%s is %g: %w", w.Name, v, fault.ErrNotFinite)}
}

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
