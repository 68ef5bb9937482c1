// Package rare estimates chances of failing down to 1e-9, by looking where a study fails and sampling there.
//
//	rare.go           the estimate, its interval, and what speaks against it
//	find.go           the search for design points: what is looked at first; design.go: from start to start;
//	                  climb.go: one climb to a limit; cover.go: what lies between points
//	mixture.go        what samples about the points would explain
//	lines.go          lines through the points, the chance integrated along each, by quasi-Monte Carlo: liner.go, line.go,
//	                  beyond.go
package rare
