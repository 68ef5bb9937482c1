package assign

import (
	"math"
	"slices"
)

// two is the assignment of two bins: no way has more combinations, and none as many with a larger sum.
func two(t Table) answer {
	n, m := t.Sizes[0], t.Sizes[1]
	w := worths(t)
	mate, _ := heaviest(n, m, func(i, j int) float64 { return w[i*m+j] })
	var a answer
	for i, j := range mate {
		if j >= 0 && w[i*m+j] > 0 {
			a.chosen = append(a.chosen, []int{i, j})
		}
	}
	a.most = len(a.chosen)
	return a
}

// heaviest pairs n rows with m columns, each used at most once, for the largest sum of weights, none
// of them below zero. It returns the column of each row, -1 for none, and the sum.
func heaviest(n, m int, weight func(i, j int) float64) (mate []int, sum float64) {
	if n <= m {
		return everyRow(n, m, weight)
	}
	back, sum := everyRow(m, n, func(i, j int) float64 { return weight(j, i) })
	mate = slices.Repeat([]int{-1}, n)
	for j, i := range back {
		mate[i] = j
	}
	return mate, sum
}

// everyRow gives each row a column, of which there are as many or more.
//
// Source: the shortest augmenting path form of the Hungarian method, R. Jonker and A. Volgenant,
// Computing 38 (1987); n²m steps.
func everyRow(n, m int, weight func(i, j int) float64) (mate []int, sum float64) {
	// Columns are counted from 1; column 0 is where the row being placed stands.
	u, v := make([]float64, n+1), make([]float64, m+1)
	row, way := make([]int, m+1), make([]int, m+1)
	dist, done := make([]float64, m+1), make([]bool, m+1)
	for i := 1; i <= n; i++ {
		row[0] = i
		for j := range dist {
			dist[j], done[j] = math.Inf(1), false
		}
		at := 0
		for {
			done[at] = true
			r, step, next := row[at], math.Inf(1), 0
			for j := 1; j <= m; j++ {
				if done[j] {
					continue
				}
				if d := -weight(r-1, j-1) - u[r] - v[j]; d < dist[j] {
					dist[j], way[j] = d, at
				}
				if dist[j] < step {
					step, next = dist[j], j
				}
			}
			for j := range done {
				if done[j] {
					u[row[j]] += step
					v[j] -= step
				} else {
					dist[j] -= step
				}
			}
			if at = next; row[at] == 0 {
				break
			}
		}
		for at != 0 {
			row[at] = row[way[at]]
			at = way[at]
		}
	}
	mate = make([]int, n)
	for j := 1; j <= m; j++ {
		if row[j] > 0 {
			mate[row[j]-1] = j - 1
			sum += weight(row[j]-1, j-1)
		}
	}
	return mate, sum
}
