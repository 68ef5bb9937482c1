// Package contact finds the forces in round clearances: of all forces in equilibrium, those that make least
//
//	½ Σ mᵀ A m + cᵀ m + Σ room_i |F_i| + Σ ½ give_i |F_i|²,   F = F0 + B m,
//
// the sums over both directions across the line, |·| the length of the pair. It is the dual of bending elastic lines so that each passes within a circle of radius room_i, whose rim gives by give_i |F_i|. Units are the caller's.
//
// Source: complementary energy, any text on elasticity; the primal-dual Newton method for sums of lengths is that of Chan, Golub and Mulet, SIAM J. Sci. Comput. 20 (1999), with the smoothing driven to rounding.
package contact

import (
	"errors"
	"math"

	"example.com/borestack/align/internal/dense"
)

// ErrNoBalance means that no finite forces do it: something rigid is asked to bend.
var ErrNoBalance = errors.New("contact: no finite forces hold it")

// Problem is one problem and the memory to solve it. Matrices are row-major. The zero value is the empty problem; [Problem.Reset] sets sizes.
type Problem struct {
	Unknowns, Circles int
	A                 []float64    // Unknowns × Unknowns, symmetric, positive definite
	C                 [2][]float64 // linear term, one for each direction
	B                 []float64    // Circles × Unknowns
	F0                [2][]float64
	Room, Give        []float64 // not negative

	// The answer.
	M        [2][]float64
	F        [2][]float64
	Gap      [2][]float64 // -(line - centre) at each circle, without the rim's give: within the room, and along F where it bears
	Residual float64      // greatest violation of any condition, in units of the greatest term

	hess, rhs, step, trial, kept []float64
	scale, natural               float64 // of forces: those about to be found, and those without clearances
	bears                        []bool
}

// Reset sets the sizes and clears the data.
func (p *Problem) Reset(unknowns, circles int) {
	p.Unknowns, p.Circles = unknowns, circles
	p.A = zeros(p.A, unknowns*unknowns)
	p.B = zeros(p.B, circles*unknowns)
	for d := range 2 {
		p.C[d], p.M[d] = zeros(p.C[d], unknowns), zeros(p.M[d], unknowns)
		p.F0[d], p.F[d], p.Gap[d] = zeros(p.F0[d], circles), zeros(p.F[d], circles), zeros(p.Gap[d], circles)
	}
	p.Room, p.Give = zeros(p.Room, circles), zeros(p.Give, circles)
}

func zeros(s []float64, n int) []float64 {
	if cap(s) < n {
		return make([]float64, n)
	}
	s = s[:n]
	clear(s)
	return s
}

// The kink of a length is rounded off over a share of the size of the forces, less and less, until the circles that bear are told from those that do not and the exact conditions can be met.
const (
	firstSmooth = 1.0
	lastSmooth  = 1e-10
	lessSmooth  = 0.03
	trySmooth   = 1e-2 // from here on the exact conditions are tried
	maxNewton   = 30
	enough      = 1e-8 // share of the energy that a last step may still have promised; the next smoothing begins there
	rounding    = 1e-14
)

// Solve fills in the answer. It allocates nothing once its memory is large enough.
func (p *Problem) Solve() error {
	n := 2 * p.Unknowns
	p.hess, p.rhs = zeros(p.hess, n*n), zeros(p.rhs, n)
	p.step, p.trial = zeros(p.step, n), zeros(p.trial, n)
	p.kept = zeros(p.kept, n+2*p.Circles)
	if err := p.start(); err != nil {
		return err
	}
	p.Residual = 0
	if p.scale == 0 {
		return nil
	}
	for smooth := firstSmooth; ; smooth *= lessSmooth {
		last := smooth <= lastSmooth
		if err := p.newton(smooth*p.scale, last); err != nil {
			return err
		}
		// Clearances may leave little of the forces without them; shrinking is bounded, for when nothing bears at all.
		p.scale = math.Max(p.greatest(), lessSmooth*p.scale)
		if smooth <= trySmooth {
			p.keep()
			if p.exact(0) {
				return nil
			}
			if last {
				return p.better()
			}
			p.putBack()
		}
	}
}

// better ends with the conditions met as nearly as rounding lets them: where a circle bears with next to nothing, it is taken for open and for bearing in turn, and what violates the conditions least stands.
func (p *Problem) better() error {
	best, by := math.Inf(1), 0.0
	for _, least := range [...]float64{0, hardlyBears, bearsNothing} {
		p.putBack()
		p.exact(least)
		if v := p.violation(); v < best {
			best, by = v, least
		}
	}
	p.putBack()
	p.forces()
	p.Residual = p.stationary()
	if v := p.violation(); !(v <= best) {
		p.putBack()
		p.exact(by)
	}
	p.Residual = p.violation()
	p.settle()
	if math.IsNaN(p.Residual) {
		return ErrNoBalance
	}
	return nil
}

// start takes the forces without clearances, which set the scale.
func (p *Problem) start() error {
	u := p.Unknowns
	h := p.hess[:u*u]
	for d := range 2 {
		copy(h, p.A)
		for j := range u {
			for i := range p.Circles {
				if g := p.Give[i]; g > 0 {
					for k := range u {
						h[j*u+k] += g * p.B[i*u+j] * p.B[i*u+k]
					}
				}
			}
		}
		x := p.M[d]
		for j := range u {
			x[j] = -p.C[d][j]
			for i := range p.Circles {
				x[j] -= p.Give[i] * p.B[i*u+j] * p.F0[d][i]
			}
		}
		dense.Cholesky(h, u)
		dense.Solve(h, u, x)
		for _, v := range x {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return ErrNoBalance
			}
		}
	}
	p.forces()
	p.scale = p.greatest()
	for d := range 2 {
		for _, f := range p.F0[d] {
			p.scale = math.Max(p.scale, math.Abs(f))
		}
	}
	p.natural = p.scale
	return nil
}

// greatest is the greatest component of a force.
func (p *Problem) greatest() (f float64) {
	for d := range 2 {
		for _, v := range p.F[d] {
			f = math.Max(f, math.Abs(v))
		}
	}
	return f
}

// forces sets F from M.
func (p *Problem) forces() {
	u := p.Unknowns
	for d := range 2 {
		for i := range p.Circles {
			s := p.F0[d][i]
			for j, m := range p.M[d] {
				s += p.B[i*u+j] * m
			}
			p.F[d][i] = s
		}
	}
}

// length is the smoothed length of force i.
func (p *Problem) length(i int, smooth float64) float64 {
	return math.Sqrt(p.F[0][i]*p.F[0][i] + p.F[1][i]*p.F[1][i] + smooth*smooth)
}

// gradient sets rhs to minus the gradient of the smoothed energy, and returns the energy. F must be set.
func (p *Problem) gradient(smooth float64) float64 {
	u := p.Unknowns
	var energy float64
	for d := range 2 {
		for j := range u {
			var am float64
			for k, m := range p.M[d] {
				am += p.A[j*u+k] * m
			}
			energy += p.M[d][j] * (am/2 + p.C[d][j])
			p.rhs[d*u+j] = -am - p.C[d][j]
		}
	}
	for i := range p.Circles {
		rho := p.length(i, smooth)
		energy += p.Room[i]*rho + p.Give[i]*(p.F[0][i]*p.F[0][i]+p.F[1][i]*p.F[1][i])/2
		w := p.Room[i]/rho + p.Give[i]
		for d := range 2 {
			f := w * p.F[d][i]
			for j := range u {
				p.rhs[d*u+j] -= f * p.B[i*u+j]
			}
		}
	}
	return energy
}

// newton makes the smoothed energy least, roughly unless it is the last smoothing.
func (p *Problem) newton(smooth float64, last bool) error {
	n := 2 * p.Unknowns
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
		if math.IsNaN(slope) || math.IsInf(slope, 0) {
			return ErrNoBalance
		}
		if !(slope > 0) { // nothing moves any more, but the gaps still follow their forces
			clear(p.step)
			p.gaps(smooth)
			break
		}
		p.gaps(smooth)
		share := 1.0
		for d := range 2 {
			copy(p.trial[d*p.Unknowns:], p.M[d])
		}
		var next float64
		for ; ; share /= 2 {
			for d := range 2 {
				for j := range p.Unknowns {
					p.M[d][j] = p.trial[d*p.Unknowns+j] + share*p.step[d*p.Unknowns+j]
				}
			}
			p.forces()
			next = p.gradient(smooth)
			if next <= energy-1e-4*share*slope || share < 1e-9 {
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

// hessian sets the matrix of the primal-dual Newton step: symmetric and positive definite because every gap is within its room.
func (p *Problem) hessian(smooth float64) {
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
		rho := p.length(i, smooth)
		r := p.Room[i]
		var w [2][2]float64
		for a := range 2 {
			for b := range 2 {
				w[a][b] = -(p.Gap[a][i]*p.F[b][i] + p.Gap[b][i]*p.F[a][i]) / (2 * rho * rho)
			}
			w[a][a] += r/rho + p.Give[i]
		}
		p.addRank(i, &w)
	}
}

// gaps moves the gaps by the Newton step, as far as they stay within their rooms.
func (p *Problem) gaps(smooth float64) {
	u := p.Unknowns
	for i := range p.Circles {
		rho := p.length(i, smooth)
		r := p.Room[i]
		var df, g [2]float64
		for d := range 2 {
			for j := range u {
				df[d] += p.B[i*u+j] * p.step[d*u+j]
			}
		}
		along := (p.F[0][i]*df[0] + p.F[1][i]*df[1]) / (rho * rho)
		for d := range 2 {
			g[d] = r*(p.F[d][i]+df[d])/rho - p.Gap[d][i]*along
		}
		if square := g[0]*g[0] + g[1]*g[1]; square > r*inside*r*inside {
			shrink := r * inside / math.Sqrt(square)
			g[0], g[1] = g[0]*shrink, g[1]*shrink
		}
		p.Gap[0][i], p.Gap[1][i] = g[0], g[1]
	}
}

// inside keeps gaps within their rooms, so that the matrix stays positive definite.
const inside = 1 - 1e-12
