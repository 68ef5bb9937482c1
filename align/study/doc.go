// Package study runs a record: the box as measured, each of its states, each candidate part in turn, and the verdict on every limit.
//
// [Run] does all of it. A verdict rests on the value where the joints lie, on its ends over the float of all joints that may lie anywhere, and on the standard uncertainty that the stated uncertainties of the readings give it.
//
// The package knows nothing of formats of output.
package study
