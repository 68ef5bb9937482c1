// Package estimate answers for one number of a study to a wanted error, by the way to sample that suits it: at random,
// by quasi-Monte Carlo points, about design points or along lines through them; and says how the answer was made.
package estimate
