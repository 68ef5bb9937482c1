package stackup

import (
	"math"
	"sort"

	"example.com/borestack/stackup/internal/num"
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
