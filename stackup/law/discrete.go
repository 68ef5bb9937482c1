package law

import (
	"math/bits"
	"sort"
)

// discrete takes a few values only.
type discrete struct {
	values       []float64 // ascending
	upTo, beyond []float64 // P(X ≤ value), P(X > value)
	keep         []float64 // Walker's alias table: the share of a cell that keeps its own value; nil: all values alike
	alias        []int
}

// NewDiscrete returns the distribution that takes each value with a probability proportional to its weight, as the
// sizes of a graded shim or the positions of an index pin; values may repeat. It returns a [fault.FieldError] unless
// there are as many weights as values, values are finite, and weights are ≥ 0 with a finite sum > 0.
func NewDiscrete(values, weights []float64) (Law, error) {
	const name = "discrete"
	total, err := sumOfWeights(name, "value", len(values), weights)
	if err != nil {
		return nil, err
	}
	order := make([]int, len(values))
	for i, v := range values {
		if err := check(name, finite("value", v)); err != nil {
			return nil, err
		}
		order[i] = i
	}
	sort.SliceStable(order, func(i, j int) bool { return values[order[i]] < values[order[j]] })
	l := &discrete{}
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
	l.tabulate(shares)
	return l.law(shares), nil
}

// NewSample returns the distribution of a measured sample, which it copies: each value is as likely as any other, and
// nothing else occurs; its variance is the mean square deviation, with divisor n. It returns a [fault.FieldError]
// unless there is at least one value and all are finite.
func NewSample(values []float64) (Law, error) {
	const name = "sample"
	if err := check(name, must(len(values) > 0, "number of values", 0, "at least 1")); err != nil {
		return nil, err
	}
	l, n := &discrete{values: append([]float64(nil), values...)}, float64(len(values))
	weights, shares := make([]float64, len(values)), make([]float64, len(values))
	for i, v := range values {
		if err := check(name, finite("value", v)); err != nil {
			return nil, err
		}
		weights[i], shares[i] = 1, 1/n
	}
	sort.Float64s(l.values)
	l.accumulate(weights, n)
	return l.law(shares), nil
}

// law has the moments of the values.
func (l *discrete) law(shares []float64) Law {
	return distribution{l, l.values[0], l.values[len(l.values)-1], momentsOfPoints(l.values, shares, l.values[0], 1)}
}

// sumOfWeights checks weights, one for each of n things, and adds them up.
func sumOfWeights(law, of string, n int, weights []float64) (total float64, err error) {
	if err := check(law, must(len(weights) == n && n > 0, "number of weights", float64(len(weights)), "one for each "+of+", and at least one")); err != nil {
		return 0, err
	}
	for _, w := range weights {
		if err := check(law, atLeastZero("weight", w)); err != nil {
			return 0, err
		}
		total += w
	}
	return total, check(law, positive("sum of weights", total))
}

// accumulate sums weights from either end, so that both tails keep their digits, and whole weights their sums.
func (l *discrete) accumulate(weights []float64, total float64) {
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
func (l *discrete) tabulate(shares []float64) {
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

func (l *discrete) tail(x float64, above bool) float64 {
	n := sort.Search(len(l.values), func(i int) bool { return l.values[i] > x })
	if above {
		return l.beyond[n-1]
	}
	return l.upTo[n-1]
}

// quantile is the least value that a share does not exceed, or that at most a share exceeds.
func (l *discrete) quantile(p float64, above bool) float64 {
	return l.values[sort.Search(len(l.values)-1, func(i int) bool { return above && l.beyond[i] <= p || !above && l.upTo[i] >= p })]
}

// Draw fills dst with the next values of a stream, each from two words: the cell of the alias table, and which of its
// two values; or from one, where all are alike.
func (l *discrete) Draw(dst []float64, s *Stream) {
	for i := range dst {
		cell, _ := bits.Mul64(s.Uint64(), uint64(len(l.values)))
		if l.keep != nil && s.Float64() >= l.keep[cell] {
			cell = uint64(l.alias[cell])
		}
		dst[i] = l.values[cell]
	}
}
