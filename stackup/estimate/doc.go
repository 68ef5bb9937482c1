// Package estimate answers for one number of a study to a wanted error, by the way to sample that suits it: at random,
// less the linear part, by even points, or about design points; and says how the answer was made.
package estimate
