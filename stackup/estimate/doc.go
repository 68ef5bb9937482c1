// Package estimate answers for one number of a study to a wanted error, by the way to sample that suits it: at random,
// less the linear part, by quasi-Monte Carlo points, or about design points; and says how the answer was made.
package estimate
