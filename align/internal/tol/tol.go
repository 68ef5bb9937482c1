// Package tol keeps, in one place, the sizes below which a difference of geometry is rounding.
package tol

const (
	// Touching is the strain, clearance or misalignment, in mm, below which there is none: rounding
	// of sizes of a few hundred millimetres that were meant to be equal.
	Touching = 1e-12

	// Meet is how far, in mm, lines and centres without any room may miss each other and still
	// meet:
	// rounding of positions of a few metres, carried through a program.
	Meet = 1e-9
)
