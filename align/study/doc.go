// Package study runs a record: the box as measured, each of its states, each candidate part in turn, the verdict on every limit, and how all that varies.
//
// [Run] does the first part. A verdict rests on the value where the joints lie, on its ends over the float of all joints that may lie anywhere, and on the standard uncertainty that the readings and the sources "because of the gauge" give it.
//
// [Vary] studies what the record says may vary, by package stackup on a compiled plan: worst case, root sum of squares and Monte Carlo side by side. Process variation gives the yield of a batch, gauge uncertainty the probability for this very box; they are never mixed. [Shard] and [Merge] spread the samples over machines.
//
//	run.go, judge.go, gauge.go, result.go     this box
//	vary.go, inputs.go, variation.go          how it varies: groups of outputs that share samples
//	sampling.go                               blocks run, stopped and told of
//	madeof.go                                 which record a result is of
//	linear.go                                 to first order: sizes by the exact law of a plane vector
//	worst.go, cut.go                          worst case: exact sums, corners by search, the other end by cutting planes
//	shard.go                                  blocks apart, and merged
//
// The package knows nothing of formats of output.
package study
