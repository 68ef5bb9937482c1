// Package estimate answers for one number of a study to a wanted error, by the way to sample that suits it: at random,
// by quasi-Monte Carlo points or along lines through the design points; and says how the answer was made.
package estimate
