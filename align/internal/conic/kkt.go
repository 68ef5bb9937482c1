package conic

import "example.com/borestack/align/internal/dense"

// gMul sets dst = G x.
func (s *Solver) gMul(dst, x []float64) {
	g := s.g
	for i, d := range s.dims {
		cols := s.columns(i)
		for r := s.at[i]; r < s.at[i]+d; r++ {
			row := g[:len(cols)]
			var v float64
			for a, j := range cols {
				v += row[a] * x[j]
			}
			dst[r], g = v, g[len(cols):]
		}
	}
}

// gMulT adds Gᵀ v to dst.
func (s *Solver) gMulT(dst, v []float64) {
	g := s.g
	for i, d := range s.dims {
		cols := s.columns(i)
		for r := s.at[i]; r < s.at[i]+d; r++ {
			row, f := g[:len(cols)], v[r]
			for a, j := range cols {
				dst[j] += row[a] * f
			}
			g = g[len(cols):]
		}
	}
}

// factor forms and factors P + Gᵀ W⁻² G, as the square of W⁻¹G so that it stays positive.
func (s *Solver) factor() {
	k, g := s.n, s.g
	copy(s.hess, s.p)
	for i, d := range s.dims {
		c := &s.scale[i]
		cols := s.columns(i)
		m := len(cols)
		s.u = dense.Resize(s.u, m*d)
		inv := 1 / c.beta
		for a := range cols {
			q := c.v[0] * g[a]
			for r := 1; r < d; r++ {
				q -= c.v[r] * g[r*m+a]
			}
			q *= 2
			s.u[a] = inv * (q*c.v[0] - g[a])
			for r := 1; r < d; r++ {
				s.u[r*m+a] = inv * (g[r*m+a] - q*c.v[r])
			}
		}
		g = g[m*d:]
		for r := range d {
			u := s.u[r*m : (r+1)*m]
			for a, ja := range cols {
				row, ua := s.hess[ja*k:(ja+1)*k], u[a]
				for e, jb := range cols[:a+1] {
					row[jb] += ua * u[e]
				}
			}
		}
	}
	dense.Cholesky(s.hess, k)
}

// solveKKT solves P dx + Gᵀdz = bx, G dx - W² dz = t for dx and dz, and improves the solution once
// by its own residual, since the normal equations lose half the digits near the optimum.
func (s *Solver) solveKKT(bx, t []float64) {
	s.solveOnce(s.dx, s.dz, bx, t)
	// residuals
	copy(s.bx[:s.n], bx[:s.n])
	for j := range s.n {
		s.bx[j] -= dot(s.p[j*s.n:(j+1)*s.n], s.dx[:s.n])
	}
	for i, v := range s.dz {
		s.bt[i] = -v
	}
	s.gMulT(s.bx, s.bt)
	copy(s.bt, s.gx)
	for i := range s.dims {
		q := s.part(s.q, i)
		c := &s.scale[i]
		c.mul(q, s.part(s.dz, i))
		c.mul(q, q)
	}
	for i, v := range s.bt {
		s.bt[i] = t[i] - v + s.q[i]
	}
	s.solveOnce(s.ex, s.ez, s.bx, s.bt)
	for j := range s.n {
		s.dx[j] += s.ex[j]
	}
	for i, v := range s.ez {
		s.dz[i] += v
	}
}

// solveOnce solves the same system by the factored normal equations, and leaves G dx in gx.
func (s *Solver) solveOnce(dx, dz, bx, t []float64) {
	copy(s.q, t)
	s.invSquare(s.q)
	copy(dx[:s.n], bx[:s.n])
	s.gMulT(dx, s.q)
	dense.Solve(s.hess, s.n, dx[:s.n])
	s.gMul(s.gx, dx)
	for i, v := range s.gx {
		dz[i] = v - t[i]
	}
	s.invSquare(dz)
}

// invSquare applies W⁻² in place.
func (s *Solver) invSquare(v []float64) {
	for i := range s.dims {
		p := s.part(v, i)
		s.scale[i].div(p, p)
		s.scale[i].div(p, p)
	}
}
