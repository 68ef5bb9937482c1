// Package conic solves the small convex programs of a stack: straight shafts in clearance circles,
// floats within pilots and dowels.
//
//	minimise   ½ xᵀP x + cᵀx
//	subject to |A_i x + b_i| ≤ f_i·x + g_i     for every cone i
//	           E x = e                          eliminated first
//
// problem.go holds the program and its equalities, solver.go the primal-dual interior-point method,
// cone.go the algebra of one second-order cone, kkt.go and eliminate.go the linear algebra. A
// Solver keeps its memory: after the first program of a size it allocates nothing. It is for one
// goroutine, and nothing of one program is carried to the next.
//
// Every answer carries its own certificate: the duality gap and the residuals, from which
// [Result.Gap] bounds how far the objective is from the least.
//
// Source: method as described by L. Vandenberghe, The CVXOPT linear and quadratic cone program
// solvers, 2010 (Nesterov-Todd scaling, Mehrotra correction); written from the equations.
package conic
