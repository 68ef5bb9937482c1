package floatset

import (
	"math"
	"slices"

	"example.com/borestack/align/internal/dense"
)

// The best point of F is held by at most three constraints. From the best that some of them leave
// the search goes on to one that is passed there, taken in for those that it makes idle, until none
// is passed.
//
// Source: linear-type programs, Sharir and Welzl, A combinatorial bound for linear programming and
// related problems, STACS 1992 (exchange of a basis).

// aim is what is wanted of F over t: the point nearest to one, or the farthest along a direction.
type aim struct {
	t   [3]float64
	far bool
}

// outside is by how much, in mm, a point may pass a constraint by rounding.
const outside = 1e-12

// farthestOfSets is the point of F farthest along a in (fx, fy, γ) where few sets bound it: the
// farthest within two of them, these exchanged for others that it passes until three are needed at
// once.
func (s *Set) farthestOfSets(a Vec) (Vec, bool) {
	s.lookForSets()
	n := len(s.sets)
	switch n {
	case 0:
		return Vec{}, false
	case 1:
		d := &s.sets[0]
		x, y := d.point(a.X, a.Y)
		return Vec{x - d.PX, y - d.PY, s.Target.G}, true
	}
	i, j := 0, 1
	v, ok := s.farthestOfTwo(i, j, a)
	if n == 2 {
		return v, ok
	}
	for range 4 * n {
		if !ok {
			return v, false
		}
		worst := s.passedSet(v, i, j)
		if worst < 0 {
			return v, true
		}
		ok = false
		for _, keep := range [2]int{i, j} {
			drop := i + j - keep
			w, fine := s.farthestOfTwo(keep, worst, a)
			if fine && s.sets[drop].beyond(w) <= outside {
				v, i, j, ok = w, keep, worst, true
				break
			}
		}
		if !ok {
			return s.farthestOfThree([3]int{i, j, worst}, v, a)
		}
	}
	return v, false
}

// passedSet is the set that v passes most, but for two; -1: none.
func (s *Set) passedSet(v Vec, i, j int) int {
	worst, out := -1, outside
	for k := range s.sets {
		if k == i || k == j {
			continue
		}
		if d := s.sets[k].beyond(v); d > out {
			worst, out = k, d
		}
	}
	return worst
}

// farthestOfThree is the point farthest along a where three sets hold it, of which two alone let it
// go to v. It reports false where it proves none.
func (s *Set) farthestOfThree(three [3]int, v, a Vec) (Vec, bool) {
	var hold [3]int
	for n, k := range three {
		at := s.sets[k].at
		hold[n] = at[0]
		if s.Constraints[at[1]].at(v) > s.Constraints[at[0]].at(v) { // of a lens, the farther disc
			hold[n] = at[1]
		}
	}
	size := dense.Length3(a.X, a.Y, a.G/s.CharLength) // package floats would send a to the heap
	t, ok := s.best(&aim{[3]float64{a.X / size, a.Y / size, a.G / s.CharLength / size}, true}, s.inSpan(s.Scaled(v)), hold[:])
	return s.AtSpan(t), ok
}

// best is the best point of F, from near at with the constraints that may hold it there. It reports
// false where it proves none.
func (s *Set) best(w *aim, at [3]float64, hold []int) ([3]float64, bool) {
	var kept [3]int
	n := copy(kept[:], hold)
	if n > 0 && !s.stationary(w, &at, kept[:n]) {
		return at, false
	}
	for range 4 * len(s.Open) {
		further := s.passed(s.AtSpan(at))
		if further < 0 {
			return at, true
		}
		if n = s.takeIn(w, &at, &kept, n, further); n == 0 {
			return at, false
		}
	}
	return at, false
}

// passed is the open constraint that v passes most; -1: none.
func (s *Set) passed(v Vec) int {
	worst, out := -1, outside
	for _, i := range s.Open {
		if d := s.Constraints[i].beyond(v); d > out {
			worst, out = i, d
		}
	}
	return worst
}

// fewestFirst are the choices of up to two of three constraints, a bit for each.
var fewestFirst = [...]uint{0, 1, 2, 4, 3, 5, 6}

// takeIn moves at to the best point that a further constraint leaves with as few as can be of the n
// that are kept, none of which is passed there; it keeps these, and returns how many there are, 0
// where it finds none.
func (s *Set) takeIn(w *aim, at *[3]float64, kept *[3]int, n, further int) int {
choices:
	for _, with := range fewestFirst {
		next, m := [3]int{further}, 1
		for i, k := range kept[:n] {
			if with>>i&1 == 1 {
				next[m] = k
				m++
			}
		}
		if with>>n != 0 || m > s.Dim {
			continue
		}
		to := *at
		if !s.stationary(w, &to, next[:m]) {
			continue
		}
		v := s.AtSpan(to)
		for _, k := range kept[:n] {
			if s.Constraints[k].beyond(v) > outside {
				continue choices
			}
		}
		*at, *kept = to, next
		return m
	}
	return 0
}

// Of Newton's steps to where constraints hold a point.
const (
	settleSteps = 40    // from far off each halves the way to a rim
	settleDone  = 1e-15 // mm: a step below which nothing is left
	settlePivot = 1e-9  // size of a pivot below which the equations say nothing
	settleRows  = 6     // unknowns: three of the point, and a multiplier of at most three constraints
)

// equations are those of Newton's steps in n unknowns, row by row, the right side last.
type equations struct {
	n   int
	row [settleRows * (settleRows + 1)]float64
}

func (a *equations) at(r, c int) *float64 { return &a.row[r*(a.n+1)+c] }

// solve leaves the solution in the right side, by elimination with partial pivoting; false where the equations
// do not determine it. With the complete pivoting of [dense.ReduceRows] a study of drawn floats takes a quarter
// longer.
func (a *equations) solve() bool {
	n, width := a.n, a.n+1
	for c := range n {
		best := c
		for r := c + 1; r < n; r++ {
			if math.Abs(a.row[r*width+c]) > math.Abs(a.row[best*width+c]) {
				best = r
			}
		}
		top, other := a.row[c*width:][:width], a.row[best*width:][:width]
		if !(math.Abs(other[c]) > settlePivot) {
			return false
		}
		for k := c; best != c && k < width; k++ {
			top[k], other[k] = other[k], top[k]
		}
		for r := range n {
			row := a.row[r*width:][:width]
			if f := row[c] / top[c]; r != c && f != 0 {
				for k := c; k < width; k++ {
					row[k] -= f * top[k]
				}
			}
		}
	}
	for r := range n {
		*a.at(r, n) /= *a.at(r, r)
	}
	return true
}

// stationary moves at to where the constraints hold it and make it stationary: t - goal + Σ λ_k ∂g_k
// = 0, or Σ λ_k ∂g_k = direction, and g_k = (|b_k + A_k t|² - room_k²)/2 room_k = 0. It reports false
// where some multiplier is less than nothing, or the point is not determined.
//
// Source: Newton's method on the conditions of Karush, Kuhn and Tucker; hand calculation.
func (s *Set) stationary(w *aim, at *[3]float64, hold []int) bool {
	n := s.Dim + len(hold)
	var lambda [3]float64
	moved := math.Inf(1)
	for step := 0; step < settleSteps && moved > settleDone; step++ {
		a := equations{n: n}
		for k := range s.Dim {
			*a.at(k, n) = w.t[k]
			if !w.far {
				*a.at(k, k), *a.at(k, n) = 1, w.t[k]-at[k]
			}
		}
		for h, i := range hold {
			s.holding(&a, at, i, s.Dim+h, lambda[h])
		}
		if !a.solve() {
			return false
		}
		moved = 0
		for k := range s.Dim {
			by := *a.at(k, n)
			at[k] += by
			moved = math.Max(moved, math.Abs(by))
		}
		for h := range hold {
			lambda[h] = *a.at(s.Dim+h, n)
		}
	}
	return moved <= outside && !slices.ContainsFunc(lambda[:], func(l float64) bool { return l < 0 })
}

// holding adds constraint i to the equations: its share of the curvature, and row and column row of
// its gradient.
func (s *Set) holding(a *equations, at *[3]float64, i, row int, lambda float64) {
	f := &s.Constraints[i]
	x, y := f.from(s.AtSpan(*at))
	x, y = x/f.Radius, y/f.Radius
	*a.at(row, a.n) = f.Radius * (1 - x*x - y*y) / 2
	var gx, gy [3]float64
	for k := range s.Dim {
		gx[k], gy[k] = s.feels(f, 0, s.Span[k])
		g := x*gx[k] + y*gy[k]
		*a.at(row, k), *a.at(k, row) = g, g
		for c := range k + 1 {
			*a.at(k, c) += lambda / f.Radius * (gx[k]*gx[c] + gy[k]*gy[c])
			*a.at(c, k) = *a.at(k, c)
		}
	}
}
