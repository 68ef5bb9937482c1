// Package stackup says how deviations add up for any model y = f(x). It knows nothing of housings or shafts.
//
// A [Model] is evaluated in columns of samples, so that compiled plans and user functions run alike; [Func] adapts the one-sample form that most users write. A [Study] is a model with the law of every input and the numbers wanted.
//
//	tally, err := study.Run(ctx, stackup.Settings{Samples: 100_000, Seed: 1})
//	y := tally.Summary(0) // mean, sd, yield, quantiles, each with its error
//
// The same seed gives the same answer, to the last bit, on any number of workers, in any blocks merged in any order. The draws of one input depend on the seed, its name and the block alone.
//
//	model.go, study.go          models; what varies and what is wanted
//	run.go, tally.go            Monte Carlo in blocks; [Tally] merges them as a binary tree and serialises (binary.go)
//	moments.go, histogram.go    what a tally keeps; summary.go: what it says
//	adaptive.go                 sampling until the figures are settled
//	linear.go, second.go        first and second order; contributors.go: mean-shift models, coverage factors
//	worst.go, box.go            worst case of the linear model, exactly; search.go: of the model in full
package stackup
