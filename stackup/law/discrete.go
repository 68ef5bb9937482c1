package law

import (
	"math"
	"math/bits"
	"sort"
)

// Discrete is the law of a deviation that takes a few values only: sizes of a graded shim, positions of an index pin.
type Discrete struct {
	values       []float64 // ascending, each once
	upTo, beyond []float64 // P(X ≤ value), P(X > value)
	moments      Moments
	keep         []float64 // Walker's alias table: the share of a cell that keeps its own value
	alias        []int
}

// NewDiscrete returns the law that takes each value with a probability proportional to its weight; values may repeat. It returns a [ParameterError] unless there are as many weights as values, values are finite, and weights are ≥ 0 with a finite sum > 0.
func NewDiscrete(values, weights []float64) (*Discrete, error) {
	const name = "discrete"
	if len(values) != len(weights) || len(values) == 0 {
		return nil, &ParameterError{name, "number of weights", float64(len(weights)), "one for each value, and at least one"}
	}
	total, err := sumOfWeights(name, weights)
	if err != nil {
		return nil, err
	}
	order := make([]int, len(values))
	for i, v := range values {
		if err := finite(name, []string{"value"}, v); err != nil {
			return nil, err
		}
		order[i] = i
	}
	sort.SliceStable(order, func(i, j int) bool { return values[order[i]] < values[order[j]] })
	l := &Discrete{}
	var shares []float64 // weights, at first
	for _, i := range order {
		switch n := len(l.values); {
		case weights[i] == 0:
		case n > 0 && l.values[n-1] == values[i]:
			shares[n-1] += weights[i]
		default:
			l.values = append(l.values, values[i])
			shares = append(shares, weights[i])
		}
	}
	l.accumulate(shares, total)
	for i := range shares {
		shares[i] /= total
	}
	l.moments = momentsOfPoints(l.values, shares)
	l.tabulate(shares)
	return l, nil
}

// sumOfWeights checks weights and adds them up.
func sumOfWeights(law string, weights []float64) (float64, error) {
	var total float64
	for _, w := range weights {
		if err := atLeastZero(law, "weight", w); err != nil {
			return 0, err
		}
		total += w
	}
	return total, positive(law, "sum of weights", total)
}

// accumulate sums weights from either end, so that both tails keep their digits, and whole weights their sums.
func (l *Discrete) accumulate(weights []float64, total float64) {
	n := len(weights)
	l.upTo, l.beyond = make([]float64, n), make([]float64, n)
	var up, down float64
	for i := range n {
		up += weights[i]
		l.upTo[i] = min(up/total, 1)
		l.beyond[n-1-i] = min(down/total, 1)
		down += weights[n-1-i]
	}
	l.upTo[n-1] = 1
}

// tabulate fills the alias table.
//
// Source: M. D. Vose, A linear algorithm for generating random numbers with a given distribution, IEEE TSE 17 (1991).
func (l *Discrete) tabulate(shares []float64) {
	n := len(shares)
	l.keep, l.alias = make([]float64, n), make([]int, n)
	var small, large []int
	for i, p := range shares {
		l.keep[i], l.alias[i] = p*float64(n), i
		if l.keep[i] < 1 {
			small = append(small, i)
		} else {
			large = append(large, i)
		}
	}
	for len(small) > 0 && len(large) > 0 {
		s, g := small[len(small)-1], large[len(large)-1]
		small = small[:len(small)-1]
		l.alias[s] = g
		l.keep[g] -= 1 - l.keep[s]
		if l.keep[g] < 1 {
			large = large[:len(large)-1]
			small = append(small, g)
		}
	}
	for _, i := range append(small, large...) { // 1 but for rounding
		l.keep[i] = 1
	}
}

// CDF returns P(X ≤ x).
func (l *Discrete) CDF(x float64) float64 {
	n := sort.Search(len(l.values), func(i int) bool { return l.values[i] > x })
	if n == 0 {
		return 0
	}
	return l.upTo[n-1]
}

// Survival returns P(X > x).
func (l *Discrete) Survival(x float64) float64 {
	n := sort.Search(len(l.values), func(i int) bool { return l.values[i] > x })
	if n == 0 {
		return 1
	}
	return l.beyond[n-1]
}

// Quantile returns the least value that a share p does not exceed.
func (l *Discrete) Quantile(p float64) float64 {
	if !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	return l.values[sort.Search(len(l.values)-1, func(i int) bool { return l.upTo[i] >= p })]
}

// UpperQuantile returns the least value that at most a share q exceeds.
func (l *Discrete) UpperQuantile(q float64) float64 {
	if !(q >= 0 && q <= 1) {
		return math.NaN()
	}
	return l.values[sort.Search(len(l.values)-1, func(i int) bool { return l.beyond[i] <= q })]
}

// Moments returns the weighted sums.
func (l *Discrete) Moments() Moments { return l.moments }

// Support returns the least and the greatest value.
func (l *Discrete) Support() (lowest, highest float64) {
	return l.values[0], l.values[len(l.values)-1]
}

// Draw fills dst with the next values of a stream, each from two words: the cell of the alias table, and which of its two values.
func (l *Discrete) Draw(dst []float64, s *Stream) {
	for i := range dst {
		cell, _ := bits.Mul64(s.Uint64(), uint64(len(l.values)))
		if s.Float64() >= l.keep[cell] {
			cell = uint64(l.alias[cell])
		}
		dst[i] = l.values[cell]
	}
}

// momentsOfPoints sums over values with shares that add up to 1.
func momentsOfPoints(values, shares []float64) Moments {
	centre := values[0]
	var mean float64
	for i, v := range values {
		mean += shares[i] * (v - centre)
	}
	var m2, m3, m4 float64
	for i, v := range values {
		d := v - centre - mean
		m2 += shares[i] * d * d
		m3 += shares[i] * d * d * d
		m4 += shares[i] * d * d * d * d
	}
	m := Moments{Mean: centre + mean, Variance: m2}
	if m2 > 0 {
		m.Skewness, m.ExcessKurtosis = m3/math.Pow(m2, 1.5), m4/(m2*m2)-3
	}
	return m
}
