// Package learn says what readings tell of a study's deviations, and which measurement would tell most next.
//
//	linear.go                by the linear model, exactly for normal laws
//	learn.go, weigher.go     by weighted samples, for any model; gaussian.go: where they are drawn
//	next.go                  what it is worth to know an input twice as well, for any model
package learn
