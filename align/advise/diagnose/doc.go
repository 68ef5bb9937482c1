// Package diagnose says which deviation of which part can explain what is seen on a box that runs rough: a
// dial swept at the tail or on its face, an end play, a bush worn at 5 o'clock, teeth bright at one end, a
// joint that weeps at 2 o'clock.
//
// Every deviation that a box of this build can have is one explanation: a joint's faces out of parallel, a
// joint's parts beside each other, a bore out of place or out of square in its part, a part too long. What
// each does to what is seen follows from the stack itself, to first order. All deviations scatter as the
// process makes them; an explanation says that its own is larger, by the factor of a fault. Bayes' rule
// gives each its probability: how well it foretells what is seen, against how well the others do,
//
//	P(k | seen) ∝ P(k) · N(y; y₀, J Σ_k Jᵀ + R) · E[sights of direction and side | y, k] ,
//
// with y what was measured, y₀ what the stack says of it, J how deviations move it, Σ_k their variances
// with the k-th enlarged, R the gauges'. Sights without a number, a direction of wear or a bright end, are
// averaged over what the numbers leave open, taken as a normal distribution after each of them: probabilities
// hold to about a hundredth, of seven directions to three, and sizes of deviations that several directions
// speak against each other of to a quarter (by brute force).
//
// What sits assembled cannot tell some deviations apart: a rear face out of square and the front face that
// meets it do the same. They are one explanation, which names its members; so are those that do nothing to
// what was seen. Sweeps alone show few of them; a dial on the face beside each bore as well, rim and face, tells
// most wedges and bores out of square. The measurement that would tell most is the one after which the
// probabilities are expected to be surest (least entropy). Where even the likeliest explains what was measured
// badly, that is said.
//
// An explanation is what can explain the sights, never the cause: a deviation that nobody thought of, a
// bent shaft, a seized bearing, is not among them.
//
// Source: Bayes' rule and conditioning of normal distributions, any text on statistics; hand calculation.
//
//   - sights.go: what is seen; table.go: the same as a table
//   - faults.go: explanations, and what they do
//   - infer.go: probabilities; look.go: directions and sides; next.go: the measurement that would tell
//   - page.go: the answer as a page
package diagnose
