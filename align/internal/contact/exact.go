package contact

import (
	"math"

	"example.com/borestack/align/internal/dense"
)

// keep remembers the smoothed answer, putBack returns to it.
func (p *Problem) keep() {
	u, c := p.Unknowns, p.Circles
	for d := range 2 {
		copy(p.kept[d*u:], p.M[d])
		copy(p.kept[2*u+d*c:], p.Gap[d])
	}
}

func (p *Problem) putBack() {
	u, c := p.Unknowns, p.Circles
	for d := range 2 {
		copy(p.M[d], p.kept[d*u:])
		copy(p.Gap[d], p.kept[2*u+d*c:2*u+d*c+c])
	}
}

const (
	maxExact    = 25
	exactGoal   = 1e-13 // of the greatest term: rounding of a sum of a dozen
	exactEnough = 1e-11
	penalty     = 1e3 // times the stiffness of the rest: each step shrinks the error of the open circles by about this much
	rim         = 1e-11
)

// exact tells the circles that bear from the open ones and meets the exact conditions by Newton's method: open circles carry nothing, and their gaps are multipliers of that. It reports false when the guess of which bear does not hold.
func (p *Problem) exact() bool {
	u := p.Unknowns
	n := 2 * u
	p.forces()
	if cap(p.bears) < p.Circles {
		p.bears = make([]bool, p.Circles)
	}
	p.bears = p.bears[:p.Circles]
	for i := range p.Circles {
		r := p.Room[i]
		size := math.Hypot(p.F[0][i], p.F[1][i])
		gap := math.Hypot(p.Gap[0][i], p.Gap[1][i])
		p.bears[i] = r == 0 || (size > 0 && size/p.scale > (r-gap)/r)
	}
	last := math.Inf(1)
	for range maxExact {
		residual := p.stationary()
		if residual <= exactGoal || (residual <= exactEnough && residual > last/2) {
			break
		}
		last = residual
		weight := p.exactHessian()
		for d := range 2 {
			for j := range u {
				s := -p.rhs[d*u+j]
				for i := range p.Circles {
					if !p.bears[i] {
						s -= weight * p.B[i*u+j] * p.F[d][i]
					}
				}
				p.step[d*u+j] = s
			}
		}
		dense.Cholesky(p.hess, n)
		dense.Solve(p.hess, n, p.step)
		for d := range 2 {
			for j := range u {
				p.M[d][j] += p.step[d*u+j]
			}
		}
		p.forces()
		for i := range p.Circles {
			if !p.bears[i] {
				p.Gap[0][i] += weight * p.F[0][i]
				p.Gap[1][i] += weight * p.F[1][i]
			}
		}
	}
	p.Residual = p.stationary()
	if !(p.Residual <= exactEnough) {
		return false
	}
	for i := range p.Circles {
		if !p.bears[i] && math.Hypot(p.Gap[0][i], p.Gap[1][i]) > p.Room[i]*(1+rim)+math.SmallestNonzeroFloat64 {
			return false
		}
	}
	for i := range p.Circles {
		if !p.bears[i] {
			p.F[0][i], p.F[1][i] = 0, 0
		}
	}
	return true
}

// stationary sets rhs to the gradient of the exact conditions, the gaps of bearing circles along their forces, and returns how far they are from being met, as a share of the greatest term. F must be set, and bears.
func (p *Problem) stationary() float64 {
	u := p.Unknowns
	var greatest, off float64
	for i := range p.Circles {
		if len(p.bears) != p.Circles || !p.bears[i] {
			off = math.Max(off, math.Hypot(p.F[0][i], p.F[1][i])/p.scale)
			continue
		}
		size := math.Hypot(p.F[0][i], p.F[1][i])
		for d := range 2 {
			p.Gap[d][i] = 0
			if size > 0 {
				p.Gap[d][i] = p.Room[i] * p.F[d][i] / size
			}
		}
	}
	for d := range 2 {
		for j := range u {
			var sum float64
			add := func(v float64) {
				sum += v
				greatest = math.Max(greatest, math.Abs(v))
			}
			for k, m := range p.M[d] {
				add(p.A[j*u+k] * m)
			}
			add(p.C[d][j])
			for i := range p.Circles {
				g := p.Gap[d][i]
				if p.Give[i] > 0 {
					g += p.Give[i] * p.F[d][i]
				}
				add(g * p.B[i*u+j])
			}
			p.rhs[d*u+j] = sum
		}
	}
	if greatest == 0 {
		return off
	}
	for _, v := range p.rhs {
		off = math.Max(off, math.Abs(v)/greatest)
	}
	return off
}

// exactHessian sets the matrix of Newton's method, with a penalty on the forces of open circles, and returns the penalty.
func (p *Problem) exactHessian() (weight float64) {
	u := p.Unknowns
	n := 2 * u
	h := p.hess
	clear(h)
	for d := range 2 {
		for j := range u {
			copy(h[(d*u+j)*n+d*u:], p.A[j*u:(j+1)*u])
		}
	}
	for i := range p.Circles {
		if !p.bears[i] {
			continue
		}
		var w [2][2]float64
		x, y := p.F[0][i], p.F[1][i]
		if size := math.Hypot(x, y); size > 0 && p.Room[i] > 0 {
			k := p.Room[i] / (size * size * size)
			w[0][0], w[0][1], w[1][0], w[1][1] = k*y*y, -k*x*y, -k*x*y, k*x*x
		}
		w[0][0] += p.Give[i]
		w[1][1] += p.Give[i]
		p.addRank(i, &w)
	}
	var stiff, arm float64
	for j := range n {
		stiff = math.Max(stiff, h[j*n+j])
	}
	for _, v := range p.B {
		arm = math.Max(arm, v*v)
	}
	weight = penalty * stiff / math.Max(arm, math.SmallestNonzeroFloat64)
	open := [2][2]float64{{weight, 0}, {0, weight}}
	for i := range p.Circles {
		if !p.bears[i] {
			p.addRank(i, &open)
		}
	}
	return weight
}

// addRank adds Bᵢᵀ w Bᵢ to the matrix.
func (p *Problem) addRank(i int, w *[2][2]float64) {
	u := p.Unknowns
	n := 2 * u
	row := p.B[i*u : (i+1)*u]
	for a := range 2 {
		for b := range 2 {
			for j, x := range row {
				f := w[a][b] * x
				if f == 0 {
					continue
				}
				dst := p.hess[(a*u+j)*n+b*u : (a*u+j)*n+b*u+u]
				for k, y := range row {
					dst[k] += f * y
				}
			}
		}
	}
}
