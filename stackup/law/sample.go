package law

import (
	"math"
	"math/bits"
	"sort"
)

// Sample is the law of a measured sample: each measured value is as likely as any other, and nothing else occurs. It has no tail beyond the sample; [Fit] laws have.
type Sample struct {
	values  []float64 // ascending
	moments Moments
}

// NewSample returns the law of a measured sample, which it copies. It returns a [ParameterError] unless there is at least one value and all are finite.
func NewSample(values []float64) (*Sample, error) {
	const name = "sample"
	if len(values) == 0 {
		return nil, &ParameterError{name, "number of values", 0, "at least 1"}
	}
	for _, v := range values {
		if err := finite(name, []string{"value"}, v); err != nil {
			return nil, err
		}
	}
	l := &Sample{values: append([]float64(nil), values...)}
	sort.Float64s(l.values)
	shares := make([]float64, len(values))
	for i := range shares {
		shares[i] = 1 / float64(len(values))
	}
	l.moments = momentsOfPoints(l.values, shares)
	return l, nil
}

// upTo returns how many values do not exceed x.
func (l *Sample) upTo(x float64) int {
	return sort.Search(len(l.values), func(i int) bool { return l.values[i] > x })
}

// CDF returns the share of the values that do not exceed x.
func (l *Sample) CDF(x float64) float64 { return float64(l.upTo(x)) / float64(len(l.values)) }

// Survival returns the share of the values that exceed x.
func (l *Sample) Survival(x float64) float64 {
	return float64(len(l.values)-l.upTo(x)) / float64(len(l.values))
}

// Quantile returns the least value that a share p of the values does not exceed.
func (l *Sample) Quantile(p float64) float64 {
	if !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	n := len(l.values)
	return l.values[sort.Search(n-1, func(i int) bool { return float64(i+1)/float64(n) >= p })]
}

// UpperQuantile returns the least value that at most a share q of the values exceeds.
func (l *Sample) UpperQuantile(q float64) float64 {
	if !(q >= 0 && q <= 1) {
		return math.NaN()
	}
	n := len(l.values)
	return l.values[sort.Search(n-1, func(i int) bool { return float64(n-1-i)/float64(n) <= q })]
}

// Moments returns those of the values themselves: the variance is their mean square deviation, with divisor n.
func (l *Sample) Moments() Moments { return l.moments }

// Support returns the least and the greatest value.
func (l *Sample) Support() (lowest, highest float64) {
	return l.values[0], l.values[len(l.values)-1]
}

// Draw fills dst with values picked from the sample, with replacement.
func (l *Sample) Draw(dst []float64, s *Stream) {
	for i := range dst {
		pick, _ := bits.Mul64(s.Uint64(), uint64(len(l.values)))
		dst[i] = l.values[pick]
	}
}
