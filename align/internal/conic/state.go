package conic

// Solver holds the memory of one goroutine's solutions. The zero value is ready.
type Solver struct {
	eq, x, y    []float64 // the eliminated equalities; all variables, free variables
	pivot, free []int
	n, m        int // free variables, rows of cones

	p, c, g, h []float64 // the reduced program: G y + s = h; of G, cone by cone, the columns that it feels
	dims, at   []int     // rows of each cone, and where they start
	idx, idxAt []int     // the columns that each cone feels, and where they start

	s, z, lam, ds, dz []float64 // slack, multiplier, scaled point, steps
	rx, rz            []float64 // residuals
	scale             []scaling
	wv, u, hess       []float64

	t, q, px, rhs, dx, bx, bt, ex, ez, gx []float64 // scratch
	keepY, keepZ                          []float64 // the best point so far
}

// part is the slice of v that belongs to cone i.
func (s *Solver) part(v []float64, i int) []float64 { return v[s.at[i] : s.at[i]+s.dims[i]] }
