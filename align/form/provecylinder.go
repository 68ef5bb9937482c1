package form

import (
	"math"
	"slices"
)

// proveNear is how far the axis may move, at either end of the length covered, without a gain of more than loss; the strip is loaded at the optimum.
//
// Against its linear form h the zone gains no more than q|x|² in shifts and slopes x (remainder). h is convex and grows by g|x| from the contacts: nothing is gained within g/q, and no more than q·b² within any small b. On the faces of a box, by strip programs over all points, h grows at a rate that holds from there on; the sure ball widens until that no longer helps.
func (s *sleeve) proveNear(sol *solution) (within, loss float64) {
	inward, outward := s.remainder()
	var q float64
	if s.strip.side != onlyHigh {
		q += inward
	}
	if s.strip.side != onlyLow {
		q += outward
	}
	const (
		tiny   = 5e-7 // a ball in which no gain matters
		rounds = 8
	)
	ball := math.Min(1, s.strip.growth(sol)/q)
	least := ball
	if ball < tiny {
		ball, loss = tiny, q*tiny*tiny
	}
	for range rounds {
		box := ball / 2 // its corners lie on the ball
		next := math.Min(1, (s.faces(box)-sol.value)/box/(2*q))
		if !(next > 1.1*ball) {
			break
		}
		ball = next
	}
	if ball == tiny {
		ball, loss = least, 0
	}
	return ball / math.Sqrt(1+1/(s.length*s.length)), loss
}

// remainder bounds how far a distance exceeds its linear part ρ - u·s (inward) and falls short of it (outward) when the axis moves by shifts and slopes x, |x| ≤ 1: multiples of |x|². With w the slope, s the shift at a point's height and Z half the length,
//
//	|ρu - s|/√(1 + w²) ≤ dist ≤ |ρu - s| ≤ ρ - u·s + |s|²/2ρ,  |s|² ≤ (1 + Z²)|x|².
func (s *sleeve) remainder() (inward, outward float64) {
	inner, outer := slices.Min(s.strip.d), slices.Max(s.strip.d)
	lever := 1 + s.length*s.length
	return lever / (2 * inner), (outer + math.Sqrt(lever)) / 2
}

// faces is the least value of the strip with one of its displacements at ±box and the others within.
func (s *sleeve) faces(box float64) float64 {
	n := len(s.strip.d)
	part := strip{m: 3, a: make([]float64, 3*n), d: make([]float64, n), side: s.strip.side, box: box}
	least := math.Inf(1)
	for k := range 4 {
		for i := range n {
			j := 3 * i
			for l, v := range s.strip.a[4*i : 4*i+4] {
				if l != k {
					part.a[j] = v
					j++
				}
			}
		}
		for _, to := range [2]float64{-box, box} {
			for i, d := range s.strip.d {
				part.d[i] = d - to*s.strip.a[4*i+k]
			}
			sol, ok := part.solve()
			if !ok {
				return math.Inf(-1)
			}
			least = math.Min(least, sol.value)
		}
	}
	return least
}
