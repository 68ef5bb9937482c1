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

	// Where rounding hides which circles bear: those with less than this share of the forces are taken for open, or those with as little as the last smoothing leaves an open one are taken to bear.
	hardlyBears  = 1e-6
	bearsNothing = 30 * lastSmooth
)

// exact tells the circles that bear from the open ones and meets the exact conditions by Newton's method: open circles carry nothing, and their gaps are multipliers of that. A circle bears if it carries more than the share least of the forces or, with least 0, more than what its gap lacks to its rim. It reports false when that guess does not hold.
func (p *Problem) exact(least float64) bool {
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
		enough := least
		if least == 0 && r > 0 {
			enough = (r - gap) / r
		}
		if !p.moves(i) { // equilibrium alone settles its force, and it bears with however little that is above rounding
			enough = exactGoal * p.natural / p.scale
		}
		p.bears[i] = r == 0 || (size > 0 && size/p.scale > enough)
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
	if !(p.Residual <= exactEnough) || !p.inRooms() {
		return false
	}
	p.settle()
	return true
}

// inRooms reports whether every open circle's gap is within its room.
func (p *Problem) inRooms() bool {
	for i := range p.Circles {
		if !p.bears[i] && !(math.Hypot(p.Gap[0][i], p.Gap[1][i]) <= p.Room[i]*(1+rim)+math.SmallestNonzeroFloat64) {
			return false
		}
	}
	return true
}

// violation is the greatest violation of any condition, open circles beyond their rooms included, as a share of the greatest term.
func (p *Problem) violation() float64 {
	most := p.Residual
	for i := range p.Circles {
		if over := math.Hypot(p.Gap[0][i], p.Gap[1][i]) - p.Room[i]; !p.bears[i] && over > 0 {
			most = math.Max(most, over/p.Room[i])
		}
	}
	return most
}

// settle takes what rounding left of the forces from the open circles; one that no unknown force reaches may lie anywhere within its room, and stays at its centre.
func (p *Problem) settle() {
	for i := range p.Circles {
		if p.bears[i] {
			continue
		}
		p.F[0][i], p.F[1][i] = 0, 0
		if !p.moves(i) {
			p.Gap[0][i], p.Gap[1][i] = 0, 0
		}
	}
}

// moves reports whether any unknown changes the force of circle i.
func (p *Problem) moves(i int) bool {
	for _, v := range p.B[i*p.Unknowns : (i+1)*p.Unknowns] {
		if v != 0 {
			return true
		}
	}
	return false
}

// stationary sets rhs to the gradient of the exact conditions, the gaps of bearing circles along their forces, and returns how far they are from being met, as a share of the greatest term. F must be set, and bears.
func (p *Problem) stationary() float64 {
	u := p.Unknowns
	var greatest, off float64
	for i := range p.Circles {
		if len(p.bears) != p.Circles || !p.bears[i] {
			off = math.Max(off, math.Hypot(p.F[0][i], p.F[1][i])/p.natural)
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
