// Package bend works out the side loads of elastic shafts that pass round circles: where straight
// shafts have no room, or loads act, they bend.
//
// Of all forces of the circles on the shafts that are in equilibrium with the loads,
//
//	F = F0 + B m,
//
// those act that make the complementary energy least:
//
//	∫ M²/2EI − Σ F·p + Σ r|F| + Σ F²/2k,
//
// M the bending moment by statics, p the circles' centres, r their rooms, k the stiffness of what
// holds them. B m are the forces that hold nothing: what is left free by a shift and a slope of
// every shaft. A shaft then runs within r of p, and on the rim, along F, where it bears.
//
// Lengths are millimetres, forces newtons, on the first-named shaft of a circle and turned round on
// the other. A [Solver] keeps its memory and is for one goroutine; nothing of one answer is carried
// to the next.
//
// Source: Castigliano's principle of least work; Euler-Bernoulli beams.
package bend

import (
	"errors"
	"fmt"
	"math"

	"example.com/borestack/align/internal/dense"
)

// Circle is one round contact: room about a centre, across z.
type Circle struct {
	Shaft, Other int // places among the shafts; Other −1: it belongs to what does not bend
	Z, X, Y      float64
	Room         float64
	Give         float64 // mm/N, of the rim
}

// Solver finds the forces of one set of shafts that circles couple.
type Solver struct {
	Shafts  []Shaft
	Circles []Circle

	problem problem
	beams   []beam
	rows    []float64 // equilibrium of every shaft: shift and slope, by circle
	order   []int     // per circle: the row that it was solved for, or -1
	unit    []float64 // moment per unknown at a station
	line    []float64 // rigid part of every shaft: shift and slope, both planes
	normal  []float64
	mid     float64
	half    float64
}

// RigidError is a shaft without sections that would have to bend.
type RigidError struct{ Shaft int }

// Error says so.
func (e *RigidError) Error() string {
	return "a shaft without sections is rigid and cannot bend into its supports"
}

// settled is the greatest residual of side loads that stand. A residual is a share of the greatest
// displacement, or force, among the conditions: a shaft bent by 1 mm is then right to a nanometre,
// and 1,000 N to a thousandth of a newton, which nobody can read. Rounding alone leaves less than a
// tenth of it where a circle is just touched.
const settled = 1e-6

// notHeld is the share of the greatest load that circles which hold it may miss by rounding.
const notHeld = 1e-9

// Reset begins n shafts without circles.
func (s *Solver) Reset(n int) {
	s.Circles = s.Circles[:0]
	for len(s.Shafts) < n {
		s.Shafts = append(s.Shafts, Shaft{})
	}
	s.Shafts = s.Shafts[:n]
}

// Solve finds the forces, which [Solver.Force] then gives.
func (s *Solver) Solve() error {
	s.lay()
	if err := s.equilibrium(); err != nil {
		return err
	}
	s.flexibility()
	err := s.problem.solve()
	if err == nil {
		err = agree(s.problem.residual)
	}
	if err == nil {
		return nil
	}
	for n := range s.Shafts {
		if errors.Is(err, errNoBalance) && len(s.Shafts[n].Sections) == 0 {
			return &RigidError{n}
		}
	}
	return fmt.Errorf("%w: want sections of comparable stiffness and supports apart", err)
}

// Force is that of circle c on its first-named shaft, after [Solver.Solve].
func (s *Solver) Force(c int) (f [2]float64) { return [2]float64{s.problem.f[0][c], s.problem.f[1][c]} }

// Residual is by how much the conditions are violated, as a share of the greatest term.
func (s *Solver) Residual() float64 { return s.problem.residual }

// agree is nil for a residual of side loads that stand.
func agree(residual float64) error {
	if !(residual <= settled) {
		return fmt.Errorf("forces and contacts disagree by %.1g of the greatest", residual)
	}
	return nil
}

// lay puts the circles on their beams.
func (s *Solver) lay() {
	if len(s.beams) < len(s.Shafts) {
		s.beams = append(s.beams, make([]beam, len(s.Shafts)-len(s.beams))...)
	}
	for n := range s.Shafts {
		s.beams[n].Shaft, s.beams[n].points = &s.Shafts[n], s.beams[n].points[:0]
	}
	for c := range s.Circles {
		q := &s.Circles[c]
		one := &s.beams[q.Shaft]
		one.points = append(one.points, beamPoint{q.Z, c, 1})
		if q.Other >= 0 {
			two := &s.beams[q.Other]
			two.points = append(two.points, beamPoint{q.Z, c, -1})
		}
	}
	for n := range s.Shafts {
		s.beams[n].lay()
	}
}

// equilibrium finds a first set of forces that holds the loads, and the sets that hold nothing.
func (s *Solver) equilibrium() error {
	n, m := 2*len(s.Shafts), len(s.Circles)
	lo, hi := math.Inf(1), math.Inf(-1)
	for c := range s.Circles {
		lo, hi = math.Min(lo, s.Circles[c].Z), math.Max(hi, s.Circles[c].Z)
	}
	s.mid, s.half = (lo+hi)/2, math.Max((hi-lo)/2, math.SmallestNonzeroFloat64)
	width := m + 2
	s.rows = dense.Zeros(s.rows, n*width)
	s.equilibriumRows(width)
	var greatest float64
	for b := range s.Shafts {
		force, moment := s.beams[b].resultant()
		for d := range 2 {
			s.rows[2*b*width+m+d] = -force[d]
			s.rows[(2*b+1)*width+m+d] = -(moment[d] - force[d]*s.mid) / s.half
			greatest = math.Max(greatest, math.Max(math.Abs(force[d]), math.Abs(moment[d])/s.half))
		}
	}
	s.order = dense.Resize(s.order, m)
	rank := dense.ReduceRows(s.rows, n, m, width, s.order, dense.NoPivot)
	for r := rank; r < n; r++ {
		for d := range 2 {
			if math.Abs(s.rows[r*width+m+d]) > notHeld*greatest {
				return errors.New("its supports do not hold its loads")
			}
		}
	}
	p := &s.problem
	p.reset(m-rank, m)
	u := 0
	for c := range m {
		if r := s.order[c]; r >= 0 {
			p.f0[0][c], p.f0[1][c] = s.rows[r*width+m], s.rows[r*width+m+1]
			continue
		}
		for other := range m {
			if r := s.order[other]; r >= 0 {
				p.b[other*p.unknowns+u] = -s.rows[r*width+c]
			}
		}
		p.b[c*p.unknowns+u] = 1
		u++
	}
	return nil
}

// equilibriumRows puts each circle's part in the shift and the slope of its shafts.
func (s *Solver) equilibriumRows(width int) {
	for c := range s.Circles {
		q := &s.Circles[c]
		z := (q.Z - s.mid) / s.half
		at := 2 * q.Shaft
		s.rows[at*width+c], s.rows[(at+1)*width+c] = 1, z
		if q.Other >= 0 {
			at = 2 * q.Other
			s.rows[at*width+c], s.rows[(at+1)*width+c] = -1, -z
		}
	}
}

// flexibility fills in the energy of the unknown forces.
func (s *Solver) flexibility() {
	p := &s.problem
	u := p.unknowns
	s.unit = dense.Resize(s.unit, u)
	for n := range s.Shafts {
		s.addBending(&s.beams[n])
	}
	for j := range u {
		for i := range j {
			p.a[i*u+j] = p.a[j*u+i]
		}
	}
	for c := range s.Circles {
		q := &s.Circles[c]
		p.room[c], p.give[c] = q.Room, q.Give
		if q.Other >= 0 {
			continue
		}
		for j := range u {
			p.c[0][j] -= p.b[c*u+j] * q.X
			p.c[1][j] -= p.b[c*u+j] * q.Y
		}
	}
}

// addBending adds ∫ M²/2EI of one beam.
func (s *Solver) addBending(b *beam) {
	if len(b.Sections) == 0 {
		return
	}
	p := &s.problem
	u := p.unknowns
	for i := 1; i < len(b.cuts); i++ {
		from, to := b.cuts[i-1], b.cuts[i]
		ei := b.Modulus * b.section((from+to)/2).secondMoment()
		for g, t := range gaussPoints {
			z := from + (to-from)*(1+t)/2
			w := gaussWeights[g] * (to - from) / 2 / ei
			clear(s.unit)
			m0 := b.loadMoment(z)
			for _, q := range b.points {
				if q.z >= z {
					continue
				}
				arm := q.sign * (z - q.z)
				for j := range s.unit {
					s.unit[j] += arm * p.b[q.circle*u+j]
				}
				m0[0] += arm * p.f0[0][q.circle]
				m0[1] += arm * p.f0[1][q.circle]
			}
			for j, x := range s.unit {
				p.c[0][j] += w * x * m0[0]
				p.c[1][j] += w * x * m0[1]
				for i, y := range s.unit[:j+1] {
					p.a[j*u+i] += w * x * y
				}
			}
		}
	}
}
