package conic

import "example.com/borestack/align/internal/dense"

// Problem is one convex program, in memory that is kept from one use to the next. The zero value is
// an empty program; call Reset first.
type Problem struct {
	n    int
	quad bool
	p    []float64 // n×n
	c    []float64
	rows []float64 // each row: n coefficients and a constant; cone by cone, the right side f, g first
	dims []int     // rows of each cone
	eq   []float64 // rows of E x = e: n coefficients and e
	neq  int
}

// Reset makes p a program in n variables without objective, cones or equalities.
func (p *Problem) Reset(n int) {
	p.n, p.quad, p.neq = n, false, 0
	p.c = dense.Zeros(p.c, n)
	p.rows, p.dims, p.eq = p.rows[:0], p.dims[:0], p.eq[:0]
}

// Cost returns the linear objective c, to be filled in.
func (p *Problem) Cost() []float64 { return p.c }

// Quadratic returns the symmetric matrix P of the objective (row-major), zeroed at its first call
// after Reset, to be filled in.
func (p *Problem) Quadratic() []float64 {
	if !p.quad {
		p.quad = true
		p.p = dense.Zeros(p.p, p.n*p.n)
	}
	return p.p
}

// addQuadratic adds P x to dst.
func (p *Problem) addQuadratic(dst, x []float64) {
	for i := range p.n {
		dst[i] += dot(p.p[i*p.n:(i+1)*p.n], x)
	}
}

// Cone appends a constraint |A x + b| ≤ f·x + g with m rows in A and returns its zeroed rows: row 0
// holds f and then g, row r holds row r of A and then b.
func (p *Problem) Cone(m int) Rows {
	w := p.n + 1
	at := len(p.rows)
	p.rows = append(p.rows, make([]float64, (m+1)*w)...)
	p.dims = append(p.dims, m+1)
	return Rows{p.rows[at:], w}
}

// Equal appends an equality E x = e and returns its zeroed row: coefficients and then e.
func (p *Problem) Equal() []float64 {
	w := p.n + 1
	at := len(p.eq)
	p.eq = append(p.eq, make([]float64, w)...)
	p.neq++
	return p.eq[at:]
}

// Rows are the rows of one cone.
type Rows struct {
	data []float64
	w    int
}

// Row returns row r: n coefficients and the constant.
func (r Rows) Row(i int) []float64 { return r.data[i*r.w : (i+1)*r.w] }
