package conic

import "math"

// rankTol is the share of a row's largest coefficient below which elimination's remainder is
// rounding.
const rankTol = 1e-11

// eliminate solves E x = e for as many variables as it determines, by Gaussian elimination with
// complete pivoting: x[pivots] = e' - F x[free]. It reports whether the equalities agree within tol
// (in the units of e, rows scaled to a largest coefficient of 1).
func (s *Solver) eliminate(p *Problem, tol float64) bool {
	n, w := p.n, p.n+1
	s.eq = resize(s.eq, len(p.eq))
	copy(s.eq, p.eq)
	s.pivot = resize(s.pivot, n) // per variable: its row, or -1
	for j := range s.pivot {
		s.pivot[j] = -1
	}
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
	rank := 0
	for ; rank < rows; rank++ {
		bi, bj, big := -1, -1, rankTol
		for i := rank; i < rows; i++ {
			for j := 0; j < n; j++ {
				if a := math.Abs(s.eq[i*w+j]); a > big && s.pivot[j] < 0 {
					bi, bj, big = i, j, a
				}
			}
		}
		if bi < 0 {
			break
		}
		r := s.eq[rank*w : (rank+1)*w]
		if bi != rank {
			o := s.eq[bi*w : (bi+1)*w]
			for k := range r {
				r[k], o[k] = o[k], r[k]
			}
		}
		inv := 1 / r[bj]
		for k := range r {
			r[k] *= inv
		}
		r[bj] = 1
		s.pivot[bj] = rank
		for i := 0; i < rows; i++ {
			if i == rank {
				continue
			}
			o := s.eq[i*w : (i+1)*w]
			if f := o[bj]; f != 0 {
				for k := range o {
					o[k] -= f * r[k]
				}
				o[bj] = 0
			}
		}
	}
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

// expand writes all variables from the free ones.
func (s *Solver) expand(x, y []float64, n int) {
	for k, j := range s.free {
		x[j] = y[k]
	}
	for j, r := range s.pivot {
		if r < 0 {
			continue
		}
		e := s.eq[r*(n+1) : (r+1)*(n+1)]
		v := e[n]
		for k, f := range s.free {
			v -= e[f] * y[k]
		}
		x[j] = v
	}
}
