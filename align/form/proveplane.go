package form

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// prove searches all directions for a zone narrower than that of n, and narrows to it when there is one. It returns a lower bound of the width of every zone, and the best direction.
//
// Directions are axis + u·f1 + v·f2 on three faces of a cube about n. The width over a square of them, W(t) = h(t)/√(1+t²), has a numerator h that is convex in t. It is bounded from below by a tangent at the middle, by a strip program over the square, and about n itself by h(t) ≥ w + g|t| with the growth g: where that exceeds w√(1+t²) nothing is narrower.
func (s *slab) prove(n r3.Vec, sol solution) (float64, r3.Vec, solution) {
	const restarts = 50
	bound := sol.value
	for range restarts {
		w := sol.value
		g := s.strip.growth(&sol)
		sure := math.Inf(1) // slopes about n within which nothing is narrower
		if g < w {
			sure = 2 * g * w / (w*w - g*g)
		}
		var better r3.Vec
		var found bool
		bound, better, found = s.search(n, w, sure)
		if !found {
			break
		}
		m, next, ok := s.narrow(better)
		if !ok || !(next.value < w) {
			break
		}
		n, sol = m, next
	}
	final, ok := s.tilt(n, 1)
	if !ok {
		final = sol
	}
	return math.Max(0, math.Min(bound, final.value)), n, final
}

// search stops at a direction with a zone narrower than w.
func (s *slab) search(n r3.Vec, w, sure float64) (bound float64, better r3.Vec, found bool) {
	f := [3]r3.Vec{n}
	f[1], f[2] = across(n)
	narrower := func(axis r3.Vec, width float64) bool {
		better = r3.Unit(axis)
		return width/r3.Norm(axis) < w-slack
	}
	bound, found = search([]square{{face: 0, s: 1}, {face: 1, s: 1}, {face: 2, s: 1}}, w, s.spent, func(p *square) bool {
		far := p.far()
		longest := math.Sqrt(1 + far*far)
		if p.face == 0 {
			p.bound = math.Max(p.bound, w/longest)
			if far <= sure {
				p.bound = w
			}
			if p.bound >= w-slack {
				return false
			}
		}
		f1, f2 := f[(p.face+1)%3], f[(p.face+2)%3]
		axis := r3.Add(f[p.face], r3.Add(r3.Scale(p.u, f1), r3.Scale(p.v, f2)))
		width, tangent := s.extent(axis)
		if narrower(axis, width) {
			return true
		}
		p.bound = math.Max(p.bound, (width-p.s*(math.Abs(r3.Dot(tangent, f1))+math.Abs(r3.Dot(tangent, f2))))/longest)
		if p.bound >= w-slack {
			return false
		}
		sol, ok := s.over(axis, f1, f2, p.s)
		s.effort += effortOf(len(s.q))
		if !ok {
			return false
		}
		p.bound = math.Max(p.bound, sol.value/longest)
		axis = r3.Sub(axis, r3.Add(r3.Scale(sol.x[0], f1), r3.Scale(sol.x[1], f2)))
		width, _ = s.extent(axis)
		return narrower(axis, width)
	})
	return bound, better, found
}

func (s *slab) spent() bool { return s.effort > maxEffort }

// extent is how far the points reach along axis, with its derivative by axis.
func (s *slab) extent(axis r3.Vec) (width float64, tangent r3.Vec) {
	s.effort += len(s.q)
	hi, lo, top, bottom := math.Inf(-1), math.Inf(1), 0, 0
	for i, q := range s.q {
		v := axis.X*q.X + axis.Y*q.Y + axis.Z*q.Z
		if v > hi {
			hi, top = v, i
		}
		if v < lo {
			lo, bottom = v, i
		}
	}
	return hi - lo, r3.Sub(s.q[top], s.q[bottom])
}
