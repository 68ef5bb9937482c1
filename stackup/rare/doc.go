// Package rare estimates chances of failing down to 1e-9, by looking where a study fails and sampling there.
//
//	rare.go           the estimate, its interval, and what speaks against it
//	design.go         the search for design points; climb.go: one climb to a limit; cover.go: what lies between points
//	mixture.go        samples about the points, and their weights
//	lines.go          lines through the points, the chance integrated along each, by quasi-Monte Carlo
package rare
