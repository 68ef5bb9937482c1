package conic

import (
	"math"

	"example.com/borestack/align/internal/dense"
)

// rankTol is the share of a row's largest coefficient below which elimination's remainder is
// rounding.
const rankTol = 1e-11

// eliminate solves E x = e for as many variables as it determines, by Gaussian elimination with
// complete pivoting: x[pivots] = e' - F x[free]. It reports whether the equalities agree within tol
// (in the units of e, rows scaled to a largest coefficient of 1).
func (s *Solver) eliminate(p *Problem, tol float64) bool {
	n, w := p.n, p.n+1
	s.eq = dense.Resize(s.eq, len(p.eq))
	copy(s.eq, p.eq)
	rows := p.neq
	for i := 0; i < rows; i++ {
		r := s.eq[i*w : (i+1)*w]
		var big float64
		for _, v := range r[:n] {
			big = math.Max(big, math.Abs(v))
		}
		if big > 0 {
			for k := range r {
				r[k] /= big
			}
		}
	}
	s.pivot = dense.Resize(s.pivot, n) // per variable: its row, or -1
	rank := dense.ReduceRows(s.eq, rows, n, w, s.pivot, rankTol)
	for i := rank; i < rows; i++ {
		if math.Abs(s.eq[i*w+n]) > tol {
			return false
		}
	}
	s.free = s.free[:0]
	for j := 0; j < n; j++ {
		if s.pivot[j] < 0 {
			s.free = append(s.free, j)
		}
	}
	return true
}

// reduceRow writes row (n coefficients and a constant, in x) in the free variables to dst.
func (s *Solver) reduceRow(dst, row []float64, n int) {
	m := len(s.free)
	for k, j := range s.free {
		dst[k] = row[j]
	}
	dst[m] = row[n]
	for j, r := range s.pivot {
		if r < 0 || row[j] == 0 {
			continue
		}
		e := s.eq[r*(n+1) : (r+1)*(n+1)]
		for k, f := range s.free {
			dst[k] -= row[j] * e[f]
		}
		dst[m] += row[j] * e[n]
	}
}

// expand writes all variables from the free ones; of a direction, without the constants.
func (s *Solver) expand(x, y []float64, n int, constants float64) {
	for k, j := range s.free {
		x[j] = y[k]
	}
	for j, r := range s.pivot {
		if r < 0 {
			continue
		}
		e := s.eq[r*(n+1) : (r+1)*(n+1)]
		v := constants * e[n]
		for k, f := range s.free {
			v -= e[f] * y[k]
		}
		x[j] = v
	}
}
