package tolerance

// Nearest returns the known name nearest to a mistyped one, when it is near enough to be meant: by
// the least number of letters added, dropped, changed or exchanged, at most a third of the name (at
// least two).
//
// Source: optimal string alignment distance, L. Boytsov, 2011.
func Nearest(name string, known []string) (string, bool) {
	const longest = 100 // longer names are not compared: hostile input
	if len(name) > longest {
		return "", false
	}
	best, at := max(2, len(name)/3)+1, ""
	for _, k := range known {
		if len(k) > longest {
			continue
		}
		if d := editDistance([]rune(name), []rune(k)); d < best && d < max(len(name), len(k)) {
			best, at = d, k
		}
	}
	return at, at != ""
}

func editDistance(a, b []rune) int {
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
