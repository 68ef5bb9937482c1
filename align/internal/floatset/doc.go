// Package floatset is a convex set of small displacements v = (fx, fy, γ) of a plane body:
// constraints
// in; nearest, farthest, reach, draws and spread out.
//
// A constraint k bounds how far a point moves,
//
//	|p_k + f + γ q_k| ≤ r_k,   or   |n·(p_k + f + γ q_k)| ≤ r_k for a slab,
//
// to first order in γ: q_k is the arm of the point, turned by a quarter. Their intersection F is
// convex.
// Inside, v = (fx, fy, L γ) with a characteristic length L, the longest arm, so that all three are
// lengths; F is base + span·t over the t within the constraints that are still open (layout.go).
//
// Where F is empty, the least ε that every radius lacks is found with the multipliers that prove
// it, and
// the set is that of the radii r + ε. Constraints without room, and those that take part in ε, lock
// the
// directions that they hold.
//
// At most three constraints hold the nearest point to the target, or the farthest along a direction:
// they are exchanged until none is passed, each choice settled by Newton's method on its conditions
// (exchange.go). The farthest is a closed form within one disc or lens, and has one unknown within
// two such sets (two.go), which most floats are. A cone program takes what is left.
//
// A point is drawn uniformly by rejection from the tightest disc and the narrowest window of turns
// (draw.go; of two whole constraints in many samples at once, pair.go), or so that it follows three
// numbers: the float of two features is a place along one direction and two chords there (follow.go,
// chords.go). Means and covariances are integrals over those, or along rays (spread.go).
//
// A [Set] keeps its memory and is for one goroutine; nothing of one set is carried to the next.
//
// Source: convexity of small displacements, hand calculation; the programs' and searches' sources
// stand
// beside them.
package floatset
