package conic

import (
	"errors"
	"math"

	"example.com/borestack/align/internal/dense"
)

// ErrNoPoint is returned when the equalities contradict each other: no x satisfies them.
var ErrNoPoint = errors.New("conic: the equalities contradict each other")

// ErrStalled is returned when the iteration stops short of a usable certificate.
var ErrStalled = errors.New("conic: no certified optimum")

// Result is a certified optimum.
type Result struct {
	X         []float64 // variables; valid until the solver is used again
	Objective float64
	Gap       float64 // the objective is within this of the least
	Steps     int
}

// Tolerances of the iteration, for programs scaled to numbers near 1.
const (
	gapTol   = 1e-12 // duality gap at which it stops
	feasTol  = 1e-12 // residual at which it stops
	goodGap  = 1e-6  // gap that is still worth having if rounding stops it earlier
	maxSteps = 60
	damping  = 0.99 // share of the way to the rim
	shortest = 1e-9 // step, as a share, that goes nowhere
	offRim   = 1e-3 // share of its size by which a start keeps off the rim
)

// Solve finds the optimum. eqTol is how far equalities may contradict each other before there is no
// point at all. It returns [ErrNoPoint] or [ErrStalled].
func (s *Solver) Solve(p *Problem, eqTol float64) (Result, error) {
	if !s.load(p, eqTol) {
		return Result{}, ErrNoPoint
	}
	r, err := s.iterate()
	if err != nil {
		return Result{}, err
	}
	s.x = dense.Resize(s.x, p.n)
	s.expand(s.x, s.y[:s.n], p.n, 1)
	r.X = s.x
	r.Objective = dot(p.c, s.x)
	if p.quad {
		s.px = dense.Zeros(s.px, p.n)
		p.addQuadratic(s.px, s.x)
		r.Objective += dot(s.px, s.x) / 2
	}
	return r, nil
}

// Dual returns the multiplier of cone i in the last solution: the shadow price of f·x + g first,
// then the vector that pulls on A x + b; valid until the solver is used again.
func (s *Solver) Dual(i int) []float64 { return s.z[s.at[i] : s.at[i]+s.dims[i]] }

// load eliminates the equalities and lays the program out.
func (s *Solver) load(p *Problem, eqTol float64) bool {
	if !s.eliminate(p, eqTol) {
		return false
	}
	n, w := p.n, p.n+1
	k := len(s.free)
	s.n = k
	s.dims = append(s.dims[:0], p.dims...)
	s.at = s.at[:0]
	s.m = 0
	for _, d := range s.dims {
		s.at = append(s.at, s.m)
		s.m += d
	}
	s.h = dense.Resize(s.h, s.m)
	s.g, s.idx, s.idxAt = s.g[:0], s.idx[:0], append(s.idxAt[:0], 0)
	rows := p.rows
	for i, d := range s.dims {
		s.u = dense.Resize(s.u, d*(k+1))
		for r := range d {
			u := s.u[r*(k+1) : (r+1)*(k+1)]
			s.reduceRow(u, rows[:w], n)
			s.h[s.at[i]+r] = u[k]
			rows = rows[w:]
		}
		for j := range k {
			for r := range d {
				if s.u[r*(k+1)+j] != 0 {
					s.idx = append(s.idx, j)
					break
				}
			}
		}
		s.idxAt = append(s.idxAt, len(s.idx))
		for r := range d {
			for _, j := range s.columns(i) {
				s.g = append(s.g, -s.u[r*(k+1)+j])
			}
		}
	}
	s.reduceObjective(p)
	s.reserve()
	return true
}

// reduceObjective writes the objective in the free variables: of ½ xᵀP x + cᵀx with x = x0 + N y,
// the gradient Nᵀ(P x0 + c) and NᵀP N.
func (s *Solver) reduceObjective(p *Problem) {
	n, k := p.n, s.n
	s.c, s.p = dense.Resize(s.c, k), dense.Zeros(s.p, k*k)
	s.x, s.y = dense.Resize(s.x, n), dense.Zeros(s.y, k)
	s.rhs, s.px = dense.Zeros(s.rhs, n+1), dense.Resize(s.px, max(n, k)+1)
	copy(s.rhs, p.c)
	if p.quad {
		s.expand(s.x, s.y, n, 1)
		p.addQuadratic(s.rhs, s.x)
	}
	s.reduceRow(s.px, s.rhs, n)
	copy(s.c, s.px[:k])
	for a := 0; p.quad && a < k; a++ {
		clear(s.y)
		s.y[a] = 1
		s.expand(s.x, s.y, n, 0)
		clear(s.rhs)
		p.addQuadratic(s.rhs, s.x)
		s.reduceRow(s.px, s.rhs, n)
		copy(s.p[a*k:(a+1)*k], s.px[:k])
	}
}

// columns are the variables that cone i feels.
func (s *Solver) columns(i int) []int { return s.idx[s.idxAt[i]:s.idxAt[i+1]] }

func (s *Solver) reserve() {
	n, m := s.n, s.m
	for _, v := range []*[]float64{&s.s, &s.z, &s.lam, &s.rz, &s.t, &s.q, &s.ds, &s.dz, &s.bt, &s.ez, &s.gx} {
		*v = dense.Resize(*v, m)
	}
	for _, v := range []*[]float64{&s.rx, &s.dx, &s.rhs, &s.bx, &s.ex, &s.y, &s.px} {
		*v = dense.Resize(*v, n+1)
	}
	s.hess = dense.Resize(s.hess, n*n)
	s.wv = dense.Resize(s.wv, 2*m)
	if cap(s.scale) < len(s.dims) {
		s.scale = make([]scaling, len(s.dims), 2*len(s.dims))
	}
	s.scale = s.scale[:len(s.dims)]
	for i, d := range s.dims {
		a := s.at[i]
		s.scale[i].w = s.wv[2*a : 2*a+d]
		s.scale[i].v = s.wv[2*a+d : 2*a+2*d]
	}
}

// start finds an interior s and z: the least-squares solution, pushed inside.
func (s *Solver) start() {
	k := s.n
	for i := range s.scale {
		c := &s.scale[i]
		c.beta = 1
		clear(c.w)
		clear(c.v)
		c.w[0], c.v[0] = 1, 1
	}
	s.factor()
	for j := range k {
		s.rhs[j] = -s.c[j]
	}
	copy(s.t, s.h)
	s.solveKKT(s.rhs, s.t)
	copy(s.y[:k], s.dx[:k])
	var lackS, lackZ float64 = math.Inf(-1), math.Inf(-1)
	for i := range s.dims {
		z := s.part(s.dz, i)
		lackS = math.Max(lackS, norm(z[1:])+z[0]) // s = -z
		lackZ = math.Max(lackZ, norm(z[1:])-z[0])
	}
	size := offRim * (1 + norm(s.dz))
	for i, v := range s.dz {
		s.s[i], s.z[i] = -v, v
	}
	for _, a := range s.at {
		if lackS > -size {
			s.s[a] += lackS + size + 1
		}
		if lackZ > -size {
			s.z[a] += lackZ + size + 1
		}
	}
}

// iterate runs predictor and corrector to a certified optimum; without cones the start is one.
func (s *Solver) iterate() (Result, error) {
	s.start()
	best := math.Inf(1)
	var bestRes Result
	for step := range maxSteps {
		gap, feas, dres, cost := s.residuals()
		size := math.Max(1, math.Abs(cost))
		worst := math.Max(gap/size, math.Max(feas/size, dres))
		if math.IsNaN(worst) {
			break
		}
		if worst < best {
			best = worst
			bestRes = Result{Gap: math.Max(gap, feas) + dres*size, Steps: step}
			s.keepY, s.keepZ = append(s.keepY[:0], s.y[:s.n]...), append(s.keepZ[:0], s.z...)
		}
		if (gap <= gapTol*size && feas <= feasTol*size && dres <= 1e3*feasTol) || (step > 12 && best < goodGap && worst > 1e3*best) {
			break
		}
		if !s.rescale() {
			break
		}
		s.factor()
		s.correct(s.predict(), gap/float64(len(s.dims)))
		if !s.advance() {
			break
		}
	}
	if !(best < goodGap) {
		return Result{}, ErrStalled
	}
	copy(s.y[:s.n], s.keepY) // the best point so far
	copy(s.z, s.keepZ)
	return bestRes, nil
}

// residuals sets rz and rx, and returns the gap, how far the constraints and the multipliers are
// from being met, and the objective.
func (s *Solver) residuals() (gap, feas, dres, cost float64) {
	k := s.n
	s.gMul(s.rz, s.y)
	for i := range s.rz {
		s.rz[i] += s.s[i] - s.h[i]
		feas = math.Max(feas, math.Abs(s.rz[i]))
		gap += s.s[i] * s.z[i]
	}
	for j := range k {
		s.px[j] = dot(s.p[j*k:(j+1)*k], s.y[:k])
		cost += s.y[j] * (s.c[j] + s.px[j]/2)
		s.rx[j] = s.px[j] + s.c[j]
	}
	s.gMulT(s.rx, s.z)
	for j := range k {
		dres = math.Max(dres, math.Abs(s.rx[j]))
	}
	return gap, feas, dres, cost
}

// predict leaves the steps to the optimum itself in the scaled ds and dz, and returns the share of
// the complementarity that the corrector keeps.
func (s *Solver) predict() (sigma float64) {
	for j := range s.n {
		s.rhs[j] = -s.rx[j]
	}
	for i := range s.t {
		s.t[i] = s.s[i] - s.rz[i]
	}
	s.solveKKT(s.rhs, s.t)
	alpha := 1.0
	for i := range s.dims {
		l, dz, ds := s.part(s.lam, i), s.part(s.dz, i), s.part(s.ds, i)
		s.scale[i].mul(dz, dz)
		for r := range ds {
			ds[r] = -l[r] - dz[r]
		}
		alpha = math.Min(alpha, math.Min(reach(l, ds), reach(l, dz)))
	}
	return (1 - alpha) * (1 - alpha) * (1 - alpha)
}

// correct leaves the corrected steps in dx and in the scaled dz, and what is to be added to -dz for
// ds, mu being the mean complementarity.
func (s *Solver) correct(sigma, mu float64) {
	for i := range s.dims {
		l, dz, ds, q := s.part(s.lam, i), s.part(s.dz, i), s.part(s.ds, i), s.part(s.q, i)
		product(q, ds, dz)
		ll := s.part(s.t, i)
		product(ll, l, l)
		for r := range q {
			q[r] = -ll[r] - q[r]
		}
		q[0] += sigma * mu
		divide(ds, l, q) // λ \ d, kept in ds
		s.scale[i].mul(ll, ds)
		rz := s.part(s.rz, i)
		for r := range ll {
			ll[r] = -(1-sigma)*rz[r] - ll[r]
		}
	}
	for j := range s.n {
		s.rhs[j] = -(1 - sigma) * s.rx[j]
	}
	s.solveKKT(s.rhs, s.t)
}

// advance goes as far along the corrected steps as the cones allow; false where that is nowhere.
func (s *Solver) advance() bool {
	far := math.Inf(1)
	for i := range s.dims {
		l, dz, ds := s.part(s.lam, i), s.part(s.dz, i), s.part(s.ds, i)
		s.scale[i].mul(dz, dz)
		for r := range ds {
			ds[r] -= dz[r]
		}
		far = math.Min(far, math.Min(reach(l, ds), reach(l, dz)))
	}
	length := math.Min(1, damping*far)
	if !(length > shortest) {
		return false
	}
	for j := range s.n {
		s.y[j] += length * s.dx[j]
	}
	for i := range s.dims {
		c := &s.scale[i]
		dz, ds, sv, zv := s.part(s.dz, i), s.part(s.ds, i), s.part(s.s, i), s.part(s.z, i)
		c.div(dz, dz)
		c.mul(ds, ds)
		for r := range sv {
			sv[r] += length * ds[r]
			zv[r] += length * dz[r]
		}
	}
	return true
}

// rimLift is the share by which a point that rounding has put on the rim of its cone is lifted off
// it again.
const rimLift = 1e-15

// rescale sets the scaling and λ; false when a point has left its cone by more than rounding.
func (s *Solver) rescale() bool {
	for i := range s.dims {
		sv, zv := s.part(s.s, i), s.part(s.z, i)
		for _, v := range [2][]float64{sv, zv} {
			if n := norm(v[1:]); !(v[0]-n > rimLift*n) && v[0]-n > -1e3*rimLift*n {
				v[0] = n * (1 + 2*rimLift)
			}
			if !(det(v) > 0 && v[0] > 0) {
				return false
			}
		}
		c := &s.scale[i]
		c.set(sv, zv)
		c.mul(s.part(s.lam, i), zv)
	}
	return true
}
