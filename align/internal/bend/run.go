package bend

import (
	"errors"
	"math"

	"example.com/borestack/align/internal/dense"
)

// Runs finds each shaft's shift and slope from where the shafts stand in their circles: every
// circle says it, and they agree. [Solver.Run] then gives them; [Solver.Solve] comes first.
func (s *Solver) Runs() error {
	p := &s.problem
	n, m := 2*len(s.Shafts), len(s.Circles)
	s.rows = dense.Zeros(s.rows, n*m)
	s.equilibriumRows(m)
	s.normal = dense.Resize(s.normal, n*n)
	for i := range n {
		for j := range n {
			var sum float64
			for c := range m {
				sum += s.rows[i*m+c] * s.rows[j*m+c]
			}
			s.normal[i*n+j] = sum
		}
	}
	dense.Cholesky(s.normal, n)
	s.line = dense.Zeros(s.line, 2*n)
	for c := range s.Circles {
		q := &s.Circles[c]
		at := [2]float64{q.X, q.Y}
		one := s.beams[q.Shaft].deflect(q.Z, &p.f)
		var two Bent
		if q.Other >= 0 {
			at, two = [2]float64{}, s.beams[q.Other].deflect(q.Z, &p.f)
		}
		for d := range 2 {
			v := at[d] - p.gap[d][c] - p.give[c]*p.f[d][c] - (one.At[d] - two.At[d])
			for r := range n {
				s.line[d*n+r] += s.rows[r*m+c] * v
			}
		}
	}
	for d := range 2 {
		dense.Solve(s.normal, n, s.line[d*n:(d+1)*n])
	}
	for _, v := range s.line {
		if v-v != 0 {
			return errors.New("its sections have no stiffness to speak of")
		}
	}
	return nil
}

// Run is where a shaft runs at z, after [Solver.Runs].
func (s *Solver) Run(shaft int, z float64) (out Bent) {
	out = s.beams[shaft].deflect(z, &s.problem.f)
	n := len(s.line) / 2
	for d := range 2 {
		shift, slope := s.line[d*n+2*shaft], s.line[d*n+2*shaft+1]
		out.At[d] += shift + slope*(z-s.mid)/s.half
		out.Slope[d] += slope / s.half
	}
	return out
}

// Bow is how far a shaft bends from the chord between its first and last circle, at the circles and
// changes of section, after [Solver.Runs].
func (s *Solver) Bow(shaft int) float64 {
	b := &s.beams[shaft]
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range b.points {
		lo, hi = math.Min(lo, p.z), math.Max(hi, p.z)
	}
	if !(hi > lo) {
		return 0
	}
	first, last := s.Run(shaft, lo), s.Run(shaft, hi)
	var most float64
	for _, z := range b.cuts {
		at := s.Run(shaft, z)
		t := (z - lo) / (hi - lo)
		var off [2]float64
		for d := range 2 {
			off[d] = at.At[d] - first.At[d] - t*(last.At[d]-first.At[d])
		}
		most = math.Max(most, math.Hypot(off[0], off[1]))
	}
	return most
}

// Stress is the greatest bending stress of a shaft with sections, in N/mm², and where.
func (s *Solver) Stress(shaft int) (greatest, z float64) { return s.beams[shaft].stress(&s.problem.f) }
