// Package shaftline finds straight rigid shafts through clearance circles.
//
// Circle i leaves a shaft at z_i a radius r_i about its centre p_i. The utilisation is the least λ
// for which lines ℓ exist with
//
//	|p_i − ℓ(z_i)| ≤ λ r_i   for every i;
//
// the margin is the greatest slack m with |p_i − ℓ(z_i)| ≤ r_i − m. Straight shafts have room
// exactly
// when λ ≤ 1, and when m ≥ 0. A circle between two shafts holds the distance of their lines.
//
// By duality λ is the greatest Σ y·p over multipliers y with Σ y ℓ = 0 for every line and Σ |y| r ≤
// 1. Where only one sum of centres w is free of the lines, λ = |Σ w p| / Σ |w| r and −m = (|Σ w p|
// − Σ |w| r) / Σ |w| (closed.go). That closed form, the dual by weighted least squares with its
// proof (chebyshev.go) and a cone program (cones.go) are tried in turn and agree; every answer
// carries a certificate. The multipliers of λ say what governs, those of m what caps it (caps.go):
// often the tightest circle alone.
//
// Lengths are millimetres. A [Solver] keeps its memory and is for one goroutine; nothing of one
// answer is carried to the next.
//
// Source: Farkas' lemma and conic duality, any text on convex optimisation; hand calculation.
package shaftline

import "example.com/borestack/align/internal/tol"

// Circle is one clearance circle that a shaft must pass, or two shafts that run in each other.
type Circle struct {
	Shaft   int
	Other   int // the second shaft; −1: the circle stands in what does not move with a shaft
	Holder  int // what it is a mouth of: circles of one holder move together
	Z, X, Y float64
	Radius  float64 // half the clearance
}

// Measure is what is made least: the utilisation, |d| ≤ λ r, or the lack of room, |d| ≤ r + s.
type Measure uint8

// The measures.
const (
	ByUtilisation Measure = iota
	ByMargin
)

// Line is x = X + SX z, y = Y + SY z.
type Line struct{ X, Y, SX, SY float64 }

// Governs is the share of the multipliers below which a circle does not govern.
const Governs = 1e-6

// sameMeasure is how near, beside 1, two utilisations are the same.
const sameMeasure = Governs * 1e-3

// RadiusOf is half of what is left of a clearance; what is left by rounding, of a clearance that is
// used up, is none, or a line that misses it by rounding too would use it up many times over.
func RadiusOf(left float64) float64 {
	if left > tol.Touching {
		return left / 2
	}
	return 0
}
