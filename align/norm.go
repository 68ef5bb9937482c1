package align

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Lengths here are millimetres and ratios, far from where a square would overflow or vanish, so that the plain root serves, several times quicker than one that guards against it.

// size3 is the length of v.
func size3(v r3.Vec) float64 { return math.Sqrt(v.X*v.X + v.Y*v.Y + v.Z*v.Z) }

// unit3 is v over its length.
func unit3(v r3.Vec) r3.Vec { return r3.Scale(1/size3(v), v) }
