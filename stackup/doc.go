// Package stackup says how deviations add up for any model y = f(x). It knows nothing of housings or shafts.
//
// A [Model] is evaluated in columns of samples, so that compiled plans and user functions run alike; [Func] adapts
// the one-sample form that most users write. A [Study] is a model with the law of every input and the responses.
//
//	acc, err := study.Run(ctx, stackup.Settings{Samples: 100_000, Seed: 1})
//	y := acc.Summary(0) // mean, sd, yield, quantiles, each with its error
//
// The same seed gives the same answer, to the last bit, on any number of workers, in any blocks merged in any order.
// The draws of one input depend on the seed, its name and the block alone.
//
//	model.go, study.go, input.go   models; what varies, alone or together, and what is asked of it
//	blocks.go, sampler.go          the one block loop, and what works in it: columns, draws, the model; space.go: inputs made of normal numbers
//	panic.go                       panics of models and laws, raised in the goroutine of the caller; slow models
//	run.go, accumulator.go         Monte Carlo in blocks; [Accumulator] merges them as a binary tree and serialises (binary.go)
//	moments.go, histogram.go       what an accumulator keeps; summary.go: what it says; samples.go: one by one
//	adaptive.go                    sampling until the figures are settled
//	linear.go                      first order, and where it says little; mean-shift models; second order
//	worst.go, reach.go             worst case of the linear model, exactly; search.go: of the model in full
//	indices.go, failures.go        contributions: Sobol indices, tails of the failures
//	compare.go                     what-if on the same draws
//	leeway.go, grid.go             how far something may go; a study at every combination of some values
//	csv.go                         accumulators, samples and grids as tables
//
// The other ways to sample are rooms of their own, which use the block loop and the [Sampler] as the methods here do:
// stackup/quasi for quasi-Monte Carlo, stackup/rare for rare failures, stackup/learn for what an observation
// tells, and stackup/estimate, which chooses among them.
package stackup
