// Package learn says what readings tell of a study's deviations, and which measurement would tell most next.
//
//	learn.go, weigher.go     by weighted samples, for any model; gaussian.go: where they are drawn
//	next.go                  what it is worth to know an input twice as well
package learn
