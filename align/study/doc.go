// Package study runs a record: the box as measured, each of its states, each candidate part in
// turn, the verdict on every limit, and how all that varies.
//
// [Run] does the first part. A verdict rests on the value where the joints lie, on its ends over the
// float of all joints that may lie anywhere, and on what the readings and the sources "because of the
// gauge" leave open there: one standard deviation of each, one way and the other, the larger effect
// counting; where that cannot be relied on, seeded draws of all of them. While something in the record
// is in doubt, nothing that rests on it passes.
//
// [Vary] studies what the record says may vary, by package stackup on a compiled plan: worst case,
// root sum of squares and Monte Carlo side by side. Process variation gives the yield of a batch,
// gauge uncertainty the probability for this very box; they are never mixed, and no yield changes a
// verdict. [Shard] and [Merge] spread the samples over machines.
//
//	run.go, result.go            this box, its states and candidates
//	judge.go, states.go          limits: one state, and every state
//	brief.go                     whether a box passes, and which parts settle that it does not
//	band.go                      the guard band of one end of one limit
//	draws.go                     probes, and draws that decide
//	gauge.go, columns.go         what makes readings uncertain: sources, and rounds folded to three numbers
//	rows.go                      a box under many deviations, worked out once each
//	doubt.go, follow.go          what rests on a number in doubt
//	idle.go                      inputs that move nothing asked for
//	of.go                                     a compiled box as a study: sources and distributions by name
//	vary.go, inputs.go, variation.go          how it varies: groups of outputs that share samples
//	laws.go                                   the distributions that a record names
//	sampling.go                               blocks run, stopped and told of
//	madeof.go                                 which record a result is of
//	linear.go                                 to first order: sizes by the exact distribution of a plane vector
//	worst.go, cut.go                          worst case: exact sums, corners by search, the other end by cutting planes
//	shard.go                                  blocks apart, and merged
//
// The package knows nothing of formats of output.
package study
