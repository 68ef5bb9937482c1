// Package stackup says how deviations add up for any model y = f(x). It knows nothing of housings or shafts.
//
// A [Model] is evaluated in columns of samples, so that compiled plans and user functions run alike; [Func] adapts the one-sample form that most users write. A [Study] is a model with the law of every input and the numbers wanted.
//
//	tally, err := study.Run(ctx, stackup.Settings{Samples: 100_000, Seed: 1})
//	y := tally.Summary(0) // mean, sd, yield, quantiles, each with its error
//
// The same seed gives the same answer, to the last bit, on any number of workers, in any blocks merged in any order. The draws of one input depend on the seed, its name and the block alone.
//
//	model.go, study.go, input.go   models; what varies, alone or together, and what is wanted
//	panic.go                    panics of models and laws, raised in the goroutine of the caller
//	run.go, tally.go            Monte Carlo in blocks; [Tally] merges them as a binary tree and serialises (binary.go)
//	moments.go, histogram.go    what a tally keeps; summary.go: what it says
//	adaptive.go                 sampling until the figures are settled
//	linear.go, second.go        first and second order; bends.go: where the first says little; contributors.go: mean-shift models, coverage factors
//	worst.go, reach.go          worst case of the linear model, exactly; search.go: of the model in full
//	indices.go, failures.go     contributions: Sobol indices, tails of the failures
//	compare.go, twin.go         what-if on the same draws; leeway.go, question.go, affine.go, affinejoint.go: how far one input may go
//	space.go, sweep.go          inputs made of normal numbers; batches that do not merge
//	even.go, control.go         evenly spread samples, linear control
//	rare.go, design.go, climb.go, cover.go, mixture.go   rare failures by their design points
//	goal.go, estimate.go        an estimate to a goal, and how it was made
//	learn.go, gaussian.go, posterior.go, weigher.go      learning from an observation; next.go: the next measurement
package stackup
