package shaftline

import (
	"math"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/tol"
)

// Nullity says how many independent sums of centres no line can change: 0 (lines reach every
// centre), 1 (weights holds the only one), or 2 for more.
func (l *Solver) Nullity(group []int) int {
	m, n := len(l.Members), 2*len(group)
	l.Weights = dense.Resize(l.Weights, m)
	if n == 2 && m == 3 {
		a, b, c := l.Circles[l.Members[0]].Z, l.Circles[l.Members[1]].Z, l.Circles[l.Members[2]].Z
		span := math.Max(math.Abs(a-b), math.Max(math.Abs(b-c), math.Abs(c-a)))
		if span == 0 {
			return 2
		}
		l.Weights[0], l.Weights[1], l.Weights[2] = (b-c)/span, (c-a)/span, (a-b)/span
		return 1
	}
	l.Two = false
	if m > n+2 {
		return 2
	}
	l.chosen = l.chosen[:0]
	for c := range m {
		l.chosen = append(l.chosen, c)
	}
	null := l.Eliminate(l.chosen, n, l.Weights)
	l.Two = null == 2
	return min(null, 2)
}

// Eliminate finds the weights w with Σ w_i ℓ(z_i) = 0 for all lines over the chosen members, by
// Gaussian elimination with complete pivoting of the n×m matrix of the lines' coefficients. It
// returns how many independent such sums there are, at most 3, and the weights if there is one; if
// there are two, weights holds one and second the other.
func (l *Solver) Eliminate(chosen []int, n int, weights []float64) int {
	m := len(chosen)
	mid, half := l.span()
	half = math.Max(half, math.SmallestNonzeroFloat64)
	// columns are circles, rows the line coefficients
	l.work = dense.Resize(l.work, n*m)
	a := l.work
	clear(a)
	for c, member := range chosen {
		q := &l.Circles[l.Members[member]]
		z := (q.Z - mid) / half
		s := 2 * l.slot[q.Shaft]
		a[s*m+c], a[(s+1)*m+c] = 1, z
		if q.Other >= 0 {
			s = 2 * l.slot[q.Other]
			a[s*m+c], a[(s+1)*m+c] = -1, -z
		}
	}
	l.order = dense.Resize(l.order, m)
	order := l.order
	rank := dense.ReduceRows(a, n, m, m, order, dense.NoPivot)
	null := m - rank
	l.Second = dense.Resize(l.Second, m)
	w := weights
	for free := range m {
		if order[free] >= 0 || null > 2 {
			continue
		}
		for c := range m {
			switch {
			case order[c] >= 0:
				w[c] = -a[order[c]*m+free]
			case c == free:
				w[c] = 1
			default:
				w[c] = 0
			}
		}
		w = l.Second
	}
	return min(null, 3)
}

// closedForm is the answer when only one sum of centres matters: λ = |Σ w p| / Σ |w| r, and s = (|Σ
// w p| - Σ |w| r) / Σ |w|, not below minus the least room. Source: Farkas' lemma; derivation in the
// package comment.
func (l *Solver) closedForm(by Measure) float64 {
	x, y, rooms, sum := l.weighed()
	off := dense.Length(x, y)
	scale := rooms
	value := 0.0
	if by == ByUtilisation {
		if off <= tol.Meet*sum && rooms == 0 {
			return 0
		}
		if rooms == 0 {
			return math.Inf(1)
		}
		value = off / rooms
	} else {
		scale = sum
		value = (off - rooms) / sum
		if floor := -l.LeastRadius(); value <= floor {
			return floor
		}
	}
	if off > 0 {
		for c, w := range l.Weights {
			l.Multipliers[c] = [2]float64{w * x / off / scale, w * y / off / scale}
		}
	}
	return value
}

// weighed is the sum of centres that no line changes, and those of the radii and the weights' sizes.
func (l *Solver) weighed() (x, y, rooms, sum float64) {
	for c, i := range l.Members {
		w := l.Weights[c]
		x += w * l.px[c]
		y += w * l.py[c]
		rooms += math.Abs(w) * l.Circles[i].Radius
		sum += math.Abs(w)
	}
	return x, y, rooms, sum
}
