package floatset

import (
	"math"
	"slices"
)

// A program finds the nearest point to half the digits of its distance: a few tenths of a nanometre
// along a rim. Newton's steps on the constraints that it stopped at give the rest.

// Of those steps.
const (
	settleSteps = 12
	settleFar   = 1e-5  // share of the unit: a constraint with more room left does not hold, and a point farther off is another one
	settleDone  = 1e-15 // mm: a step below which nothing is left
	settlePivot = 1e-9  // share of a diagonal entry below which a pivot says nothing,
	settleZero  = 1e-12 // and below which any does
	settleRows  = 6     // unknowns: three of the point, and a multiplier of at most three constraints
)

// settle moves t, the point of F nearest goal as the program left it, to where the constraints that
// hold it make it stationary: t - goal + Σ λ_k ∂g_k = 0 and g_k = (|b_k + A_k t|² - room_k²)/2 = 0.
// It leaves t alone where that is no point of F, is far, or is not determined.
//
// Source: Newton's method on the conditions of Karush, Kuhn and Tucker; hand calculation.
func (s *Set) settle(t, goal *[3]float64, unit float64) {
	var hold [3]int
	m := 0
	held := s.AtSpan(t[:])
	for _, i := range s.Open {
		f := &s.Constraints[i]
		if f.Radius-f.at(held) > settleFar*unit || slices.ContainsFunc(hold[:m], func(h int) bool { return f.alike(&s.Constraints[h]) }) {
			continue
		}
		if m == len(hold) || m == s.Dim {
			return
		}
		hold[m] = i
		m++
	}
	at := *t
	if !s.stationary(&at, goal, hold[:m]) {
		return
	}
	var far float64
	for k := range s.Dim {
		far = math.Max(far, math.Abs(at[k]-t[k]))
	}
	if far <= settleFar*unit {
		*t = at
	}
}

// stationary moves at to where the constraints hold make it stationary; false where that is no
// point of F, some multiplier is less than nothing, or it is not determined.
func (s *Set) stationary(at, goal *[3]float64, hold []int) bool {
	n := s.Dim + len(hold)
	var lambda [3]float64
	moved := math.Inf(1)
	for range settleSteps {
		var a [settleRows][settleRows + 1]float64
		for k := range s.Dim {
			a[k][k] = 1
			a[k][n] = goal[k] - at[k]
		}
		for h, i := range hold {
			s.holding(&a, at, i, s.Dim+h, n, lambda[h])
		}
		if !eliminateSmall(&a, n) {
			return false
		}
		moved = 0
		for k := range s.Dim {
			at[k] += a[k][n]
			moved = math.Max(moved, math.Abs(a[k][n]))
		}
		for h := range hold {
			lambda[h] = a[s.Dim+h][n]
		}
		if moved <= settleDone {
			break
		}
	}
	if !(moved <= outside) {
		return false
	}
	for _, l := range lambda[:len(hold)] {
		if l < 0 {
			return false
		}
	}
	return s.within(s.AtSpan(at[:]))
}

// within reports whether v passes no open constraint but by rounding.
func (s *Set) within(v Vec) bool {
	for _, i := range s.Open {
		if f := &s.Constraints[i]; !(f.at(v) <= f.Radius+outside) {
			return false
		}
	}
	return true
}

// project moves t, a goal outside F, to the point of F nearest it, without a program: each
// constraint alone, then each two together. It reports false where three hold it.
func (s *Set) project(t *[3]float64) bool {
	goal := *t
	try := func(hold ...int) bool {
		at := goal
		if !s.stationary(&at, &goal, hold) {
			return false
		}
		*t = at
		return true
	}
	outside := s.AtSpan(goal[:])
	for n, i := range s.Open {
		f := &s.Constraints[i]
		if f.at(outside) > f.Radius && try(i) {
			return true
		}
		for _, k := range s.Open[:n] {
			if s.Dim > 1 && !f.alike(&s.Constraints[k]) && try(i, k) {
				return true
			}
		}
	}
	return false
}

// alike reports whether two constraints are one but for rounding.
func (f *Constraint) alike(o *Constraint) bool {
	arm := outside * (math.Abs(f.QX) + math.Abs(f.QY))
	return f.Slab == o.Slab && f.NX == o.NX && f.NY == o.NY &&
		math.Abs(f.Radius-o.Radius) <= outside && math.Abs(f.PX-o.PX) <= outside && math.Abs(f.PY-o.PY) <= outside &&
		math.Abs(f.QX-o.QX) <= arm && math.Abs(f.QY-o.QY) <= arm
}

// holding adds constraint i to the equations: its share of the curvature, and row and column row of
// its gradient.
func (s *Set) holding(a *[settleRows][settleRows + 1]float64, at *[3]float64, i, row, n int, lambda float64) {
	f := &s.Constraints[i]
	qx, qy := f.QX/s.CharLength, f.QY/s.CharLength
	v := s.Base
	for k := range s.Dim {
		for c := range 3 {
			v[c] += s.Span[k][c] * at[k]
		}
	}
	x, y := f.PX+v[0]+v[2]*qx, f.PY+v[1]+v[2]*qy
	var gx, gy [3]float64
	for k := range s.Dim {
		gx[k], gy[k] = s.Span[k][0]+qx*s.Span[k][2], s.Span[k][1]+qy*s.Span[k][2]
		if f.Slab {
			gx[k], gy[k] = f.NX*gx[k]+f.NY*gy[k], 0
		}
	}
	if f.Slab {
		x, y = f.NX*x+f.NY*y, 0
	}
	a[row][n] = (f.Radius*f.Radius - x*x - y*y) / 2
	for k := range s.Dim {
		g := x*gx[k] + y*gy[k]
		a[row][k], a[k][row] = g, g
		for c := range s.Dim {
			a[k][c] += lambda * (gx[k]*gx[c] + gy[k]*gy[c])
		}
	}
}

// eliminateSmall solves the first n equations by elimination with partial pivoting; the solution is
// left in column n. It reports false where they do not determine it.
func eliminateSmall(a *[settleRows][settleRows + 1]float64, n int) bool {
	for col := range n {
		at := col
		for r := col + 1; r < n; r++ {
			if math.Abs(a[r][col]) > math.Abs(a[at][col]) {
				at = r
			}
		}
		if math.Abs(a[at][col]) < settlePivot*math.Abs(a[col][col])+settleZero {
			return false
		}
		a[at], a[col] = a[col], a[at]
		for r := range n {
			if f := a[r][col] / a[col][col]; r != col && f != 0 {
				for c := col; c <= n; c++ {
					a[r][c] -= f * a[col][c]
				}
			}
		}
	}
	for r := range n {
		a[r][n] /= a[r][r]
	}
	return true
}
