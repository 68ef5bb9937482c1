package stackup

import (
	"fmt"
	"math"

	"example.com/borestack/fault"
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

// Quantile returns the value below which a share p of the samples lies, and its standard error. The value is interpolated within a bucket at most 2⁻⁸ of its deviation from nominal wide; the error is half the distance of the order statistics one standard deviation of the rank to either side.
func (s Summary) Quantile(p float64) (value, standardError float64) {
	h := &s.t.shapes[s.i]
	n, under := float64(s.Samples), float64(h.under)
	cells := h.cells()
	value = quantile(cells, n, under, p, s.Least, s.Most)
	d := math.Sqrt(p * (1 - p) / n)
	lo := quantile(cells, n, under, math.Max(p-d, 0), s.Least, s.Most)
	hi := quantile(cells, n, under, math.Min(p+d, 1), s.Least, s.Most)
	return value, (hi - lo) / 2
}

// bin is one bar of a histogram.
type bin struct {
	low, high float64
	count     float64 // samples; shares of a bucket that two bins cut are split evenly
}

// bins are the samples between two values in n equal bins.
func (s Summary) bins(low, high float64, n int) ([]bin, error) {
	if !(low < high) || n < 1 {
		return nil, fault.At(s.Name, fmt.Sprintf("%d bins from %g to %g", n, low, high), "at least one bin, low below high", fault.ErrOutOfRange)
	}
	out := make([]bin, n)
	w := (high - low) / float64(n)
	for i := range out {
		out[i].low, out[i].high = low+float64(i)*w, low+float64(i+1)*w
	}
	for _, c := range s.t.shapes[s.i].cells() {
		a, b := math.Max(c.low, s.Least), math.Min(c.high, s.Most)
		first, last := int(math.Floor((a-low)/w)), int(math.Floor((b-low)/w))
		for k := max(first, 0); k <= min(last, n-1); k++ {
			share := 1.0
			if b > a {
				share = math.Max(math.Min(b, out[k].high)-math.Max(a, out[k].low), 0) / (b - a)
			}
			out[k].count += share * float64(c.count)
		}
	}
	return out, nil
}

// Shortest returns the shortest interval that holds a share p of the samples, interpolated as [Summary.Quantile] is.
//
// Source: JCGM 101:2008, 5.3.4 and 7.7.
func (s Summary) Shortest(p float64) (low, high float64) {
	const starts = 2000
	h := &s.t.shapes[s.i]
	n, under := float64(s.Samples), float64(h.under)
	cells := h.cells()
	low, high = math.Inf(-1), math.Inf(1)
	for k := range starts + 1 {
		q := (1 - p) * float64(k) / starts
		a, b := quantile(cells, n, under, q, s.Least, s.Most), quantile(cells, n, under, math.Min(q+p, 1), s.Least, s.Most)
		if b-a < high-low {
			low, high = a, b
		}
	}
	return low, high
}
