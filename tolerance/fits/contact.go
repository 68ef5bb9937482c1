package fits

import "math"

// contact is the linear complementarity problem of a press fit: M p ≥ load, p ≥ 0, and equality where p > 0. Row i of M is whole[i] on the diagonal, -inward[i] before and -outward[i] behind it. Off the diagonal M is never positive, and scaled by the diameters squared it is symmetric and positive definite (the elastic energy), so that the solution is unique and the least of all p that satisfy the inequalities.
type contact struct {
	whole, inward, outward []float64 // compliance, 1/(N/mm²)
	load                   []float64 // strain
	pressure               []float64 // N/mm²
	closed                 []bool
	factor                 []float64 // scratch
}

// system lays out the compliances; loads and pressures are zero.
func (f PressFit) system() *contact {
	n := len(f.Interferences)
	block := make([]float64, 6*n)
	part := func(i int) []float64 { return block[i*n : (i+1)*n : (i+1)*n] }
	s := &contact{part(0), part(1), part(2), part(3), part(4), make([]bool, n), part(5)}
	for i, r := range f.Rings {
		less, k, more := r.shape()
		if i > 0 {
			s.whole[i-1] += (k + r.Poisson) / r.Modulus
			s.outward[i-1] = more / r.Modulus
		}
		if i < n {
			s.whole[i] += (k - r.Poisson) / r.Modulus
			s.inward[i] = less / r.Modulus
		}
	}
	return s
}

// solve finds the closed interfaces and their pressures. Every interface starts open; those that would overlap are closed and the rest is looked at again. A pressure only presses its neighbours closer, so none opens again, and after as many rounds as there are interfaces nothing changes any more.
//
// Source: Chandrasekaran 1970, A special case of the complementary pivot problem, Opsearch 7 (from memory).
func (s *contact) solve() {
	for i := range s.closed {
		s.closed[i], s.pressure[i] = false, 0
	}
	for again := true; again; {
		again = false
		for i := range s.closed {
			if !s.closed[i] && s.overlap(i) > 0 {
				s.closed[i], again = true, true
			}
		}
		if again {
			s.balance(s.pressure, s.load)
			for i, p := range s.pressure {
				s.pressure[i] = math.Max(0, p) // rounding, where rings just touch
			}
		}
	}
}

// overlap is the strain by which the rings at i would overlap with the pressures as they are and none at i.
func (s *contact) overlap(i int) float64 {
	v := s.load[i]
	if i > 0 {
		v += s.inward[i] * s.pressure[i-1]
	}
	if i+1 < len(s.pressure) {
		v += s.outward[i] * s.pressure[i+1]
	}
	return v
}

// gap is the strain by which interface i stands open; 0 in contact.
func (s *contact) gap(i int) float64 {
	if s.closed[i] {
		return 0
	}
	return math.Max(0, 0-s.overlap(i))
}

// balance sets p to the solution of M p = load over the closed interfaces, 0 at the open ones: elimination along the diagonal, stable without pivoting as M is positive definite up to a scaling of its rows.
func (s *contact) balance(p, load []float64) {
	for i := range p {
		p[i], s.factor[i] = 0, 0
		if !s.closed[i] {
			continue
		}
		pivot, v := s.whole[i], load[i]
		if i > 0 {
			pivot -= s.inward[i] * s.factor[i-1]
			v += s.inward[i] * p[i-1]
		}
		s.factor[i], p[i] = s.outward[i]/pivot, v/pivot
	}
	for i := len(p) - 2; i >= 0; i-- {
		p[i] += s.factor[i] * p[i+1]
	}
}
