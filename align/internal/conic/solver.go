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
	s.x = resize(s.x, p.n)
	s.expand(s.x, s.y[:s.n], p.n)
	r.X = s.x
	r.Objective = dot(p.c, s.x)
	if p.quad {
		for i := 0; i < p.n; i++ {
			r.Objective += s.x[i] * dot(p.p[i*p.n:(i+1)*p.n], s.x) / 2
		}
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
	s.h = resize(s.h, s.m)
	s.g, s.idx, s.idxAt = s.g[:0], s.idx[:0], append(s.idxAt[:0], 0)
	rows := p.rows
	for i, d := range s.dims {
		s.u = resize(s.u, d*(k+1))
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

// reduceObjective writes the objective in the free variables.
func (s *Solver) reduceObjective(p *Problem) {
	n, k := p.n, s.n
	s.c = resize(s.c, k)
	s.p = resize(s.p, k*k)
	clear(s.p)
	s.rhs = resize(s.rhs, n+1)
	copy(s.rhs, p.c)
	s.px = resize(s.px, n+1)
	if p.quad {
		// gradient at the base point x0 (free variables zero), then NᵀP N
		s.x = resize(s.x, n)
		s.y = resize(s.y, k)
		clear(s.y)
		s.expand(s.x, s.y, n)
		for i := 0; i < n; i++ {
			s.rhs[i] += dot(p.p[i*n:(i+1)*n], s.x)
		}
		for a := 0; a < k; a++ {
			clear(s.y)
			s.y[a] = 1
			s.direction(s.x, s.y, n)
			for b := 0; b <= a; b++ {
				clear(s.y)
				s.y[b] = 1
				s.px = resize(s.px, n+1)
				s.direction(s.px[:n], s.y, n)
				var v float64
				for i := 0; i < n; i++ {
					if s.x[i] != 0 {
						v += s.x[i] * dot(p.p[i*n:(i+1)*n], s.px[:n])
					}
				}
				s.p[a*k+b], s.p[b*k+a] = v, v
			}
		}
	}
	s.rhs[n] = 0
	s.px = resize(s.px, max(n, k)+1)
	s.reduceRow(s.px, s.rhs[:n+1], n)
	copy(s.c, s.px[:k])
}

// direction is expand without the constant.
func (s *Solver) direction(x, y []float64, n int) {
	for k, j := range s.free {
		x[j] = y[k]
	}
	for j, r := range s.pivot {
		if r < 0 {
			continue
		}
		e := s.eq[r*(n+1) : (r+1)*(n+1)]
		var v float64
		for k, f := range s.free {
			v -= e[f] * y[k]
		}
		x[j] = v
	}
}

// columns are the variables that cone i feels.
func (s *Solver) columns(i int) []int { return s.idx[s.idxAt[i]:s.idxAt[i+1]] }

func (s *Solver) reserve() {
	n, m := s.n, s.m
	for _, v := range []*[]float64{&s.s, &s.z, &s.lam, &s.rz, &s.t, &s.q, &s.ds, &s.dz, &s.bt, &s.ez, &s.gx} {
		*v = resize(*v, m)
	}
	for _, v := range []*[]float64{&s.rx, &s.dx, &s.rhs, &s.bx, &s.ex, &s.y, &s.px} {
		*v = resize(*v, n+1)
	}
	s.hess = resize(s.hess, n*n)
	s.wv = resize(s.wv, 2*m)
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
	for j := 0; j < k; j++ {
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

// iterate runs predictor and corrector to a certified optimum.
func (s *Solver) iterate() (Result, error) {
	k, cones := s.n, float64(len(s.dims))
	if len(s.dims) == 0 {
		return s.unconstrained()
	}
	s.start()
	best := math.Inf(1)
	var bestRes Result
	for step := 0; step < maxSteps; step++ {
		// residuals and gap
		s.gMul(s.rz, s.y)
		var feas, gap float64
		for i := range s.rz {
			s.rz[i] += s.s[i] - s.h[i]
			feas = math.Max(feas, math.Abs(s.rz[i]))
			gap += s.s[i] * s.z[i]
		}
		var cost float64
		for j := 0; j < k; j++ {
			s.px[j] = dot(s.p[j*k:(j+1)*k], s.y[:k])
			cost += s.y[j] * (s.c[j] + s.px[j]/2)
			s.rx[j] = s.px[j] + s.c[j]
		}
		s.gMulT(s.rx, s.z)
		var dres float64
		for j := 0; j < k; j++ {
			dres = math.Max(dres, math.Abs(s.rx[j]))
		}
		size := math.Max(1, math.Abs(cost))
		worst := math.Max(gap/size, math.Max(feas/size, dres))
		if math.IsNaN(worst) {
			break
		}
		if worst < best {
			best = worst
			bestRes = Result{Gap: math.Max(gap, feas) + dres*size, Steps: step}
			s.keep()
		}
		if (gap <= gapTol*size && feas <= feasTol*size && dres <= 1e3*feasTol) || (step > 12 && best < goodGap && worst > 1e3*best) {
			break
		}
		if !s.rescale() {
			break
		}
		s.factor()
		mu := gap / cones

		// predictor
		for j := 0; j < k; j++ {
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
		sigma := (1 - alpha) * (1 - alpha) * (1 - alpha)

		// corrector
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
		for j := 0; j < k; j++ {
			s.rhs[j] = -(1 - sigma) * s.rx[j]
		}
		s.solveKKT(s.rhs, s.t)
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
			break
		}
		for j := 0; j < k; j++ {
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
	}
	if !(best < goodGap) {
		return Result{}, ErrStalled
	}
	s.recall()
	return bestRes, nil
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

// keep and recall hold the best point so far.
func (s *Solver) keep() {
	s.keepY = resize(s.keepY, s.n)
	s.keepZ = resize(s.keepZ, s.m)
	copy(s.keepY, s.y[:s.n])
	copy(s.keepZ, s.z)
}

func (s *Solver) recall() {
	copy(s.y[:s.n], s.keepY)
	copy(s.z, s.keepZ)
}

// unconstrained solves P x = -c.
func (s *Solver) unconstrained() (Result, error) {
	k := s.n
	copy(s.hess, s.p)
	dense.Cholesky(s.hess, k)
	for j := 0; j < k; j++ {
		s.y[j] = -s.c[j]
	}
	dense.Solve(s.hess, k, s.y[:k])
	return Result{}, nil
}
