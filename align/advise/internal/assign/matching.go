package assign

import "math"

// mostOfTwo is the most combinations of two bins, whatever their values.
//
// Source: J. E. Hopcroft and R. M. Karp, An n^5/2 algorithm for maximum matchings in bipartite graphs,
// SIAM Journal on Computing 2 (1973).
func mostOfTwo(t Table) answer {
	m := newMatching(t)
	for m.layer() {
		for i := range m.column {
			if m.column[i] < 0 {
				m.augment(i)
			}
		}
	}
	var a answer
	for i, j := range m.column {
		if j >= 0 {
			a.chosen = append(a.chosen, []int{i, j})
		}
	}
	a.most = len(a.chosen)
	return a
}

// matching pairs rows with the columns that they may go with, -1 for none.
type matching struct {
	may         [][]int // columns of each row
	column, row []int
	depth       []int // of each row in the layers of shortest alternating paths from rows without a column; -1: in none
}

func newMatching(t Table) *matching {
	n, c := t.Sizes[0], t.Sizes[1]
	m := &matching{may: make([][]int, n), column: make([]int, n), row: make([]int, c), depth: make([]int, n)}
	for j := range m.row {
		m.row[j] = -1
	}
	for i := range m.may {
		m.column[i] = -1
		for j := range c {
			if math.IsNaN(t.Value[i*c+j]) {
				continue
			}
			if m.may[i] = append(m.may[i], j); m.column[i] < 0 && m.row[j] < 0 {
				m.column[i], m.row[j] = j, i
			}
		}
	}
	return m
}

// layer lays the rows out by their distance, and reports whether a column without a row is reached.
func (m *matching) layer() (reached bool) {
	var queue []int
	for i, j := range m.column {
		if m.depth[i] = -1; j < 0 {
			m.depth[i] = 0
			queue = append(queue, i)
		}
	}
	for len(queue) > 0 {
		i := queue[0]
		queue = queue[1:]
		for _, j := range m.may[i] {
			switch k := m.row[j]; {
			case k < 0:
				reached = true
			case m.depth[k] < 0:
				m.depth[k] = m.depth[i] + 1
				queue = append(queue, k)
			}
		}
	}
	return reached
}

// augment gives row i a column along the layers, and reports whether there is one.
func (m *matching) augment(i int) bool {
	for _, j := range m.may[i] {
		k := m.row[j]
		if k < 0 || m.depth[k] == m.depth[i]+1 && m.augment(k) {
			m.column[i], m.row[j] = j, i
			return true
		}
	}
	m.depth[i] = -1
	return false
}
