// Package allocate says which tolerance may go where: how widely each input of a study may spread so that a share of
// the samples holds its limits, at the least cost.
//
//	allocate.go   what is asked, and the answer
//	sampled.go    for any model, by samples
package allocate
