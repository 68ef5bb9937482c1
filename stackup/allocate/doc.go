// Package allocate says which tolerance may go where: how widely each input of a study may spread so that a share of
// the samples holds its limits, at the least cost.
//
//	allocate.go   what is asked, and the answer
//	knapsack.go   the least cost within a variance: of tables, a multiple-choice knapsack, solved to the proven optimum
//	functions.go  of functions, by the price of variance
//	linear.go     for a linear model; sampled.go for any model, by samples
package allocate
