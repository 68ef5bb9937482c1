package bend

import (
	"math"

	"example.com/borestack/align/internal/dense"
)

const (
	maxExact    = 25
	exactGoal   = 1e-13 // of the greatest term: rounding of a sum of a dozen
	exactEnough = 1e-11
	penalty     = 1e3 // times the stiffness of the rest: each step shrinks the error of the open circles by about this much
	rim         = 1e-11

	// Where rounding hides which circles bear: those with less than this share of the forces are
	// taken for open, or those with as little as the last smoothing leaves an open one are taken to
	// bear.
	hardlyBears  = 1e-6
	bearsNothing = 30 * lastSmooth
)

// exact tells the circles that bear from the open ones and meets the exact conditions by Newton's
// method: open circles carry nothing, and their gaps are multipliers of that. A circle bears if it
// carries more than the share least of the forces or, with least 0, more than what its gap lacks to
// its rim. It reports false when that guess does not hold.
func (p *problem) exact(least float64) bool {
	p.guessBearing(least)
	u := p.unknowns
	n := 2 * u
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
				for i := range p.circles {
					if !p.bears[i] {
						s -= weight * p.b[i*u+j] * p.f[d][i]
					}
				}
				p.step[d*u+j] = s
			}
		}
		dense.Cholesky(p.hess, n)
		dense.Solve(p.hess, n, p.step)
		for j, step := range p.step {
			p.state[j] += step
		}
		p.forces()
		for i := range p.circles {
			if !p.bears[i] {
				p.gap[0][i] += weight * p.f[0][i]
				p.gap[1][i] += weight * p.f[1][i]
			}
		}
	}
	p.residual = p.stationary()
	if !(p.residual <= exactEnough) || !p.inRooms() {
		return false
	}
	p.settle()
	return true
}

// guessBearing tells the circles that bear from the open ones, by the forces of the smooth answer.
func (p *problem) guessBearing(least float64) {
	p.forces()
	p.bears = dense.Resize(p.bears, p.circles)
	for i := range p.circles {
		r := p.room[i]
		size := math.Hypot(p.f[0][i], p.f[1][i])
		gap := math.Hypot(p.gap[0][i], p.gap[1][i])
		enough := least
		if least == 0 && r > 0 {
			enough = (r - gap) / r
		}
		if !p.moves(i) { // equilibrium alone settles its force, and it bears with however little that is above rounding
			enough = exactGoal * p.natural / p.scale
		}
		p.bears[i] = r == 0 || (size > 0 && size/p.scale > enough)
	}
}

// inRooms reports whether every open circle's gap is within its room.
func (p *problem) inRooms() bool {
	for i := range p.circles {
		if !p.bears[i] && !(math.Hypot(p.gap[0][i], p.gap[1][i]) <= p.room[i]*(1+rim)+math.SmallestNonzeroFloat64) {
			return false
		}
	}
	return true
}

// violation is the greatest violation of any condition, open circles beyond their rooms included,
// as a share of the greatest term.
func (p *problem) violation() float64 {
	most := p.residual
	for i := range p.circles {
		if over := math.Hypot(p.gap[0][i], p.gap[1][i]) - p.room[i]; !p.bears[i] && over > 0 {
			most = math.Max(most, over/p.room[i])
		}
	}
	return most
}

// settle takes what rounding left of the forces from the open circles; one that no unknown force
// reaches may lie anywhere within its room, and stays at its centre.
func (p *problem) settle() {
	for i := range p.circles {
		if p.bears[i] {
			continue
		}
		p.f[0][i], p.f[1][i] = 0, 0
		if !p.moves(i) {
			p.gap[0][i], p.gap[1][i] = 0, 0
		}
	}
}

// moves reports whether any unknown changes the force of circle i.
func (p *problem) moves(i int) bool {
	for _, v := range p.b[i*p.unknowns : (i+1)*p.unknowns] {
		if v != 0 {
			return true
		}
	}
	return false
}

// stationary sets rhs to the gradient of the exact conditions, the gaps of bearing circles along
// their forces, and returns how far they are from being met, as a share of the greatest term. F
// must be set, and bears.
func (p *problem) stationary() float64 {
	u := p.unknowns
	var greatest, off float64
	for i := range p.circles {
		if len(p.bears) != p.circles || !p.bears[i] {
			off = math.Max(off, math.Hypot(p.f[0][i], p.f[1][i])/p.natural)
			continue
		}
		size := math.Hypot(p.f[0][i], p.f[1][i])
		for d := range 2 {
			p.gap[d][i] = 0
			if size > 0 {
				p.gap[d][i] = p.room[i] * p.f[d][i] / size
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
			for k, m := range p.m[d] {
				add(p.a[j*u+k] * m)
			}
			add(p.c[d][j])
			for i := range p.circles {
				g := p.gap[d][i]
				if p.give[i] > 0 {
					g += p.give[i] * p.f[d][i]
				}
				add(g * p.b[i*u+j])
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

// exactHessian sets the matrix of Newton's method, with a penalty on the forces of open circles,
// and returns the penalty.
func (p *problem) exactHessian() (weight float64) {
	n := 2 * p.unknowns
	p.bending()
	for i := range p.circles {
		if !p.bears[i] {
			continue
		}
		var w [2][2]float64
		x, y := p.f[0][i], p.f[1][i]
		if size := math.Hypot(x, y); size > 0 && p.room[i] > 0 {
			k := p.room[i] / (size * size * size)
			w[0][0], w[0][1], w[1][0], w[1][1] = k*y*y, -k*x*y, -k*x*y, k*x*x
		}
		w[0][0] += p.give[i]
		w[1][1] += p.give[i]
		p.addRank(i, &w)
	}
	var stiff, arm float64
	for j := range n {
		stiff = math.Max(stiff, p.hess[j*n+j])
	}
	for _, v := range p.b {
		arm = math.Max(arm, v*v)
	}
	weight = penalty * stiff / math.Max(arm, math.SmallestNonzeroFloat64)
	open := [2][2]float64{{weight, 0}, {0, weight}}
	for i := range p.circles {
		if !p.bears[i] {
			p.addRank(i, &open)
		}
	}
	return weight
}

// addRank adds Bᵢᵀ w Bᵢ to the matrix.
func (p *problem) addRank(i int, w *[2][2]float64) {
	u := p.unknowns
	n := 2 * u
	row := p.b[i*u : (i+1)*u]
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
