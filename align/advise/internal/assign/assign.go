// Package assign picks combinations that share no member: from two or three bins, the most that are
// allowed, then the largest value of the least of them, then the largest sum of values. It knows no
// parts and no boxes.
//
// With two bins this is the assignment problem, and the answer is the best there is. With three it is
// hard (Karp 1972), and the answer comes with a bound: the third bin's rule, that no member is used
// twice, is given a price instead, and what is left is an assignment problem, which no way of keeping
// the rule can beat.
//
// Source: H. W. Kuhn, The Hungarian method for the assignment problem, Naval Research Logistics
// Quarterly 2 (1955); A. M. Frieze and J. Yadegar, An algorithm for solving 3-dimensional assignment
// problems, Journal of the Operational Research Society 32 (1981), the relaxation by prices.
//
//   - assign.go: the questions in their order, and the search over the least value
//   - matching.go: how many of two bins go together
//   - hungarian.go: the assignment of two bins
//   - prices.go: three bins, the bound and the repair
package assign

import (
	"context"
	"math"
	"slices"
	"sort"
)

// Table is the value of every combination of one member a bin. NaN is a combination that is not
// allowed. Values are row-major: the last bin's index runs fastest.
type Table struct {
	Sizes []int // one, two or three bins
	Value []float64
}

// Index is where the value of a combination stands.
func (t Table) Index(pick []int) (i int) {
	for b, p := range pick {
		i = i*t.Sizes[b] + p
	}
	return i
}

// At is the value of a combination.
func (t Table) At(pick []int) float64 { return t.Value[t.Index(pick)] }

// Picks is the answer, with what no answer can beat beside it.
type Picks struct {
	Chosen    [][]int // one member a bin, in the order of the first bin
	Least     float64 // value of the least of them; +Inf when there is none
	MostBound int     // no way gives more combinations than this
	// LeastBound is what the least value of no way with as many combinations exceeds.
	LeastBound float64
}

// Proved says whether both numbers reach their bounds.
func (p Picks) Proved() bool { return len(p.Chosen) == p.MostBound && p.Least >= p.LeastBound }

// answer is what one bin solver finds: allowed combinations, and a bound on how many there can be.
type answer struct {
	chosen [][]int
	most   int
}

// Best answers for a table. When ctx ends it stops between two steps of the search and returns its cause.
func Best(ctx context.Context, t Table) (Picks, error) {
	solve, count := alone, alone // count finds as many, whatever their values
	switch len(t.Sizes) {
	case 2:
		solve, count = two, mostOfTwo
	case 3:
		solve, count = three, three
	}
	all := count(t)
	out := Picks{Chosen: all.chosen, Least: math.Inf(1), MostBound: all.most, LeastBound: math.Inf(1)}
	n := len(all.chosen)
	if n == 0 {
		return out, context.Cause(ctx)
	}
	levels := levelsOf(t)
	known := map[int]answer{}
	// last is the last level down to which something holds of what is found at least as high.
	last := func(holds func(answer) bool) int {
		return sort.Search(len(levels)-1, func(below int) bool {
			a, is := known[below+1]
			if !is && ctx.Err() == nil {
				a = count(atLeast(t, levels[below+1]))
				known[below+1] = a
			}
			return !holds(a)
		})
	}
	found := last(func(a answer) bool { return len(a.chosen) >= n })
	possible := last(func(a answer) bool { return a.most >= n })
	if ctx.Err() != nil {
		return out, context.Cause(ctx)
	}
	out.Chosen, out.LeastBound = solve(atLeast(t, levels[found])).chosen, levels[max(found, possible)]
	out.Least = least(t, out.Chosen)
	return out, nil
}

// least is the smallest value among combinations.
func least(t Table, chosen [][]int) float64 {
	v := math.Inf(1)
	for _, c := range chosen {
		v = math.Min(v, t.At(c))
	}
	return v
}

// levelsOf are the different values of what is allowed, ascending.
func levelsOf(t Table) []float64 {
	var v []float64
	for _, x := range t.Value {
		if !math.IsNaN(x) {
			v = append(v, x)
		}
	}
	slices.Sort(v)
	return slices.Compact(v)
}

// atLeast is the table without the combinations below a level.
func atLeast(t Table, level float64) Table {
	out := Table{t.Sizes, slices.Clone(t.Value)}
	for i, v := range out.Value {
		if v < level {
			out.Value[i] = math.NaN()
		}
	}
	return out
}

// alone takes every allowed member of a single bin.
func alone(t Table) answer {
	var a answer
	for i, v := range t.Value {
		if !math.IsNaN(v) {
			a.chosen = append(a.chosen, []int{i})
		}
	}
	a.most = len(a.chosen)
	return a
}

// worths turns values into weights for which the most combinations come first and the sum of values
// second: one for being allowed, and what all the values together can add is less than one.
func worths(t Table) []float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range t.Value {
		if !math.IsNaN(v) {
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
	}
	out := make([]float64, len(t.Value))
	for i, v := range t.Value {
		switch {
		case math.IsNaN(v):
		case hi > lo:
			out[i] = 1 + (v-lo)/(hi-lo)*0.5/float64(slices.Min(t.Sizes))
		default:
			out[i] = 1
		}
	}
	return out
}
