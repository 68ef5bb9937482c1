// Package quasi samples a study by points that are spread more evenly than at random: scrambled Sobol sequences
// (randomised quasi-Monte Carlo), in independent replicates whose scatter is the error.
package quasi
