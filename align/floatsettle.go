package align

import (
	"math"
	"slices"
)

// A program finds the nearest point to half the digits of its distance: a few tenths of a nanometre along a rim. Newton's steps on the fences that it stopped at give the rest.

// Of those steps.
const (
	settleSteps = 6
	settleFar   = 1e-5  // share of the unit: a fence with more room left does not hold, and a point farther off is another one
	settleDone  = 1e-15 // mm: a step below which nothing is left
	settleRows  = 6     // unknowns: three of the point, and a multiplier of at most three fences
)

// settle moves t, the point of F nearest goal as the program left it, to where the fences that hold it make it stationary: t - goal + Σ λ_k ∂g_k = 0 and g_k = (|b_k + A_k t|² - room_k²)/2 = 0. It leaves t alone where that is no point of F, is far, or is not determined.
//
// Source: Newton's method on the conditions of Karush, Kuhn and Tucker; hand calculation.
func (s *floatSet) settle(t, goal *[3]float64, unit float64) {
	var hold [3]int
	m := 0
	held := s.atSpan(t[:])
	for _, i := range s.open {
		f := &s.fences[i]
		if f.room-f.at(held) > settleFar*unit || slices.ContainsFunc(hold[:m], func(h int) bool { return f.alike(&s.fences[h]) }) {
			continue
		}
		if m == len(hold) || m == s.dim {
			return
		}
		hold[m] = i
		m++
	}
	at, n := *t, s.dim+m
	var lambda [3]float64
	for range settleSteps {
		var a [settleRows][settleRows + 1]float64
		for k := range s.dim {
			a[k][k] = 1
			a[k][n] = goal[k] - at[k]
		}
		for h, i := range hold[:m] {
			s.holding(&a, &at, i, s.dim+h, n, lambda[h])
		}
		if !eliminateSmall(&a, n) {
			return
		}
		var moved float64
		for k := range s.dim {
			at[k] += a[k][n]
			moved = math.Max(moved, math.Abs(a[k][n]))
		}
		for h := range m {
			lambda[h] = a[s.dim+h][n]
		}
		if moved <= settleDone {
			break
		}
	}
	var far float64
	for k := range s.dim {
		far = math.Max(far, math.Abs(at[k]-t[k]))
	}
	v := s.atSpan(at[:])
	for _, l := range lambda[:m] {
		if l < 0 {
			return
		}
	}
	for _, i := range s.open {
		if f := &s.fences[i]; !(f.at(v) <= f.room+outside) {
			return
		}
	}
	if far <= settleFar*unit {
		*t = at
	}
}

// alike reports whether two fences are one but for rounding.
func (f *fence) alike(o *fence) bool {
	arm := outside * (math.Abs(f.qx) + math.Abs(f.qy))
	return f.slab == o.slab && f.nx == o.nx && f.ny == o.ny &&
		math.Abs(f.room-o.room) <= outside && math.Abs(f.px-o.px) <= outside && math.Abs(f.py-o.py) <= outside &&
		math.Abs(f.qx-o.qx) <= arm && math.Abs(f.qy-o.qy) <= arm
}

// holding adds fence i to the equations: its share of the curvature, and row and column row of its gradient.
func (s *floatSet) holding(a *[settleRows][settleRows + 1]float64, at *[3]float64, i, row, n int, lambda float64) {
	f := &s.fences[i]
	qx, qy := f.qx/s.lever, f.qy/s.lever
	v := s.base
	for k := range s.dim {
		for c := range 3 {
			v[c] += s.span[k][c] * at[k]
		}
	}
	x, y := f.px+v[0]+v[2]*qx, f.py+v[1]+v[2]*qy
	var gx, gy [3]float64
	for k := range s.dim {
		gx[k], gy[k] = s.span[k][0]+qx*s.span[k][2], s.span[k][1]+qy*s.span[k][2]
		if f.slab {
			gx[k], gy[k] = f.nx*gx[k]+f.ny*gy[k], 0
		}
	}
	if f.slab {
		x, y = f.nx*x+f.ny*y, 0
	}
	a[row][n] = (f.room*f.room - x*x - y*y) / 2
	for k := range s.dim {
		g := x*gx[k] + y*gy[k]
		a[row][k], a[k][row] = g, g
		for c := range s.dim {
			a[k][c] += lambda * (gx[k]*gx[c] + gy[k]*gy[c])
		}
	}
}

// eliminateSmall solves the first n equations by elimination with partial pivoting; the solution is left in column n. It reports false where they do not determine it.
func eliminateSmall(a *[settleRows][settleRows + 1]float64, n int) bool {
	for col := range n {
		at := col
		for r := col + 1; r < n; r++ {
			if math.Abs(a[r][col]) > math.Abs(a[at][col]) {
				at = r
			}
		}
		if math.Abs(a[at][col]) < 1e-9*math.Abs(a[col][col])+1e-12 {
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
