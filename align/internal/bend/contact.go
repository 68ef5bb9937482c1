package bend

import (
	"errors"
	"math"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/internal/ieee"
)

// errNoBalance means that no finite forces do it: something rigid is asked to bend.
var errNoBalance = errors.New("no finite forces hold it")

// problem finds the forces in round clearances: of all forces in equilibrium, those that make least
//
//	½ Σ mᵀ A m + cᵀ m + Σ room_i |F_i| + Σ ½ give_i |F_i|²,   F = F0 + B m,
//
// the sums over both directions across the line, |·| the length of the pair. It is the dual of
// bending elastic lines so that each passes within a circle of radius room_i, whose rim gives by
// give_i |F_i|. Matrices are row-major. The zero value is the empty problem; [problem.reset] sets
// sizes.
//
// Source: complementary energy, any text on elasticity; the primal-dual Newton method for sums of
// lengths is that of Chan, Golub and Mulet, SIAM J. Sci. Comput. 20 (1999), with the smoothing
// driven to rounding.
type problem struct {
	unknowns, circles int
	a                 []float64    // unknowns × unknowns, symmetric, positive definite
	c                 [2][]float64 // linear term, one for each direction
	b                 []float64    // circles × unknowns
	f0                [2][]float64
	room, give        []float64 // not negative

	// The answer.
	state    []float64 // what m and gap share, the directions one after the other
	m        [2][]float64
	f        [2][]float64
	gap      [2][]float64 // -(line - centre) at each circle, without the rim's give: within the room, and along f where it bears
	residual float64      // greatest violation of any condition, in units of the greatest term

	hess, rhs, step, trial []float64
	kept                   []float64 // the state of the smoothed answer
	scale, natural         float64   // of forces: those about to be found, and those without clearances
	bears                  []bool
}

// reset sets the sizes and clears the data.
func (p *problem) reset(unknowns, circles int) {
	p.unknowns, p.circles = unknowns, circles
	p.a = dense.Zeros(p.a, unknowns*unknowns)
	p.b = dense.Zeros(p.b, circles*unknowns)
	p.state = dense.Zeros(p.state, 2*unknowns+2*circles)
	for d := range 2 {
		p.m[d], p.gap[d] = p.state[d*unknowns:(d+1)*unknowns], p.state[2*unknowns+d*circles:][:circles]
		p.c[d], p.f0[d], p.f[d] = dense.Zeros(p.c[d], unknowns), dense.Zeros(p.f0[d], circles), dense.Zeros(p.f[d], circles)
	}
	p.room, p.give = dense.Zeros(p.room, circles), dense.Zeros(p.give, circles)
}

// The kink of a length is rounded off over a share of the size of the forces, less and less, until
// the circles that bear are told from those that do not and the exact conditions can be met.
const (
	firstSmooth = 1.0
	lastSmooth  = 1e-10
	lessSmooth  = 0.03
	trySmooth   = 1e-2 // from here on the exact conditions are tried
	maxNewton   = 30
	enough      = 1e-8 // share of the energy that a last step may still have promised; the next smoothing begins there
	rounding    = 1e-14
	descends    = 1e-4 // share of the descent that its slope promises with which a step is content (Armijo)
	shortest    = 1e-9 // share of a step below which it goes nowhere
)

// solve fills in the answer. It allocates nothing once its memory is large enough.
func (p *problem) solve() error {
	n := 2 * p.unknowns
	p.hess, p.rhs = dense.Zeros(p.hess, n*n), dense.Zeros(p.rhs, n)
	p.step, p.trial = dense.Zeros(p.step, n), dense.Zeros(p.trial, n)
	p.kept = dense.Zeros(p.kept, len(p.state))
	if err := p.start(); err != nil {
		return err
	}
	p.residual = 0
	if p.scale == 0 {
		return nil
	}
	for smooth := firstSmooth; ; smooth *= lessSmooth {
		last := smooth <= lastSmooth
		if err := p.newton(smooth*p.scale, last); err != nil {
			return err
		}
		// Clearances may leave little of the forces without them; shrinking is bounded, for when
		// nothing bears at all.
		p.scale = math.Max(greatest(&p.f), lessSmooth*p.scale)
		if smooth <= trySmooth {
			copy(p.kept, p.state)
			if p.exact(0) {
				return nil
			}
			if last {
				return p.better()
			}
			copy(p.state, p.kept)
		}
	}
}

// better ends with the conditions met as nearly as rounding lets them: where a circle bears with
// next to nothing, it is taken for open and for bearing in turn, and what violates the conditions
// least stands.
func (p *problem) better() error {
	best, by := math.Inf(1), 0.0
	for _, least := range [...]float64{0, hardlyBears, bearsNothing} {
		copy(p.state, p.kept)
		p.exact(least)
		if v := p.violation(); v < best {
			best, by = v, least
		}
	}
	copy(p.state, p.kept)
	p.forces()
	p.residual = p.stationary()
	if v := p.violation(); !(v <= best) {
		copy(p.state, p.kept)
		p.exact(by)
	}
	p.residual = p.violation()
	p.settle()
	if math.IsNaN(p.residual) {
		return errNoBalance
	}
	return nil
}

// start takes the forces without clearances, which set the scale.
func (p *problem) start() error {
	u := p.unknowns
	h := p.hess[:u*u]
	copy(h, p.a)
	for i, g := range p.give {
		if g == 0 {
			continue
		}
		row := p.b[i*u : (i+1)*u]
		for j, x := range row {
			for k, y := range row {
				h[j*u+k] += g * x * y
			}
		}
	}
	dense.Cholesky(h, u)
	for d := range 2 {
		x := p.m[d]
		for j := range u {
			x[j] = -p.c[d][j]
			for i := range p.circles {
				x[j] -= p.give[i] * p.b[i*u+j] * p.f0[d][i]
			}
		}
		dense.Solve(h, u, x)
		for _, v := range x {
			if !ieee.Finite(v) {
				return errNoBalance
			}
		}
	}
	p.forces()
	p.scale = math.Max(greatest(&p.f), greatest(&p.f0))
	p.natural = p.scale
	return nil
}

// greatest is the size of the greatest component of forces.
func greatest(forces *[2][]float64) (size float64) {
	for _, f := range forces {
		for _, v := range f {
			size = math.Max(size, math.Abs(v))
		}
	}
	return size
}

// forces sets F from M.
func (p *problem) forces() {
	u := p.unknowns
	for d := range 2 {
		for i := range p.circles {
			s := p.f0[d][i]
			for j, m := range p.m[d] {
				s += p.b[i*u+j] * m
			}
			p.f[d][i] = s
		}
	}
}

// length is the smoothed length of force i.
func (p *problem) length(i int, smooth float64) float64 {
	return math.Sqrt(p.f[0][i]*p.f[0][i] + p.f[1][i]*p.f[1][i] + smooth*smooth)
}

// gradient sets rhs to minus the gradient of the smoothed energy, and returns the energy. F must be
// set.
func (p *problem) gradient(smooth float64) float64 {
	u := p.unknowns
	var energy float64
	for d := range 2 {
		for j := range u {
			var am float64
			for k, m := range p.m[d] {
				am += p.a[j*u+k] * m
			}
			energy += p.m[d][j] * (am/2 + p.c[d][j])
			p.rhs[d*u+j] = -am - p.c[d][j]
		}
	}
	for i := range p.circles {
		rho := p.length(i, smooth)
		energy += p.room[i]*rho + p.give[i]*(p.f[0][i]*p.f[0][i]+p.f[1][i]*p.f[1][i])/2
		w := p.room[i]/rho + p.give[i]
		for d := range 2 {
			f := w * p.f[d][i]
			for j := range u {
				p.rhs[d*u+j] -= f * p.b[i*u+j]
			}
		}
	}
	return energy
}

// newton makes the smoothed energy least, roughly unless it is the last smoothing.
func (p *problem) newton(smooth float64, last bool) error {
	n := 2 * p.unknowns
	p.forces()
	energy := p.gradient(smooth)
	for range maxNewton {
		p.hessian(smooth)
		copy(p.step, p.rhs)
		dense.Cholesky(p.hess, n)
		dense.Solve(p.hess, n, p.step)
		var slope float64
		for j, v := range p.step {
			slope += v * p.rhs[j]
		}
		if !ieee.Finite(slope) {
			return errNoBalance
		}
		if !(slope > 0) { // nothing moves any more, but the gaps still follow their forces
			clear(p.step)
			p.gaps(smooth)
			break
		}
		p.gaps(smooth)
		share := 1.0
		copy(p.trial, p.state)
		var next float64
		for ; ; share /= 2 {
			for j, step := range p.step {
				p.state[j] = p.trial[j] + share*step
			}
			p.forces()
			next = p.gradient(smooth)
			if next <= energy-descends*share*slope || share < shortest {
				break
			}
		}
		done := (slope <= enough*math.Abs(next) && !last) || slope <= rounding*math.Abs(next) || next >= energy
		energy = next
		if done {
			break
		}
	}
	return nil
}

// bending sets the matrix to the energy of bending alone, the same in both planes.
func (p *problem) bending() {
	u, h := p.unknowns, p.hess
	clear(h)
	for d := range 2 {
		for j := range u {
			copy(h[(d*u+j)*2*u+d*u:], p.a[j*u:(j+1)*u])
		}
	}
}

// hessian sets the matrix of the primal-dual Newton step: symmetric and positive definite because
// every gap is within its room.
func (p *problem) hessian(smooth float64) {
	p.bending()
	for i := range p.circles {
		rho := p.length(i, smooth)
		r := p.room[i]
		var w [2][2]float64
		for a := range 2 {
			for b := range 2 {
				w[a][b] = -(p.gap[a][i]*p.f[b][i] + p.gap[b][i]*p.f[a][i]) / (2 * rho * rho)
			}
			w[a][a] += r/rho + p.give[i]
		}
		p.addRank(i, &w)
	}
}

// gaps moves the gaps by the Newton step, as far as they stay within their rooms.
func (p *problem) gaps(smooth float64) {
	u := p.unknowns
	for i := range p.circles {
		rho := p.length(i, smooth)
		r := p.room[i]
		var df, g [2]float64
		for d := range 2 {
			for j := range u {
				df[d] += p.b[i*u+j] * p.step[d*u+j]
			}
		}
		along := (p.f[0][i]*df[0] + p.f[1][i]*df[1]) / (rho * rho)
		for d := range 2 {
			g[d] = r*(p.f[d][i]+df[d])/rho - p.gap[d][i]*along
		}
		if square := g[0]*g[0] + g[1]*g[1]; square > r*inside*r*inside {
			shrink := r * inside / math.Sqrt(square)
			g[0], g[1] = g[0]*shrink, g[1]*shrink
		}
		p.gap[0][i], p.gap[1][i] = g[0], g[1]
	}
}

// inside keeps gaps within their rooms, so that the matrix stays positive definite.
const inside = 1 - 1e-12
