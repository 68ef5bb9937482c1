package pair

// Leftover is a part that is in no box, and the best box that it could be in.
type Leftover struct {
	Part Pick
	With []Pick // the other parts of that box
	// Wanted are the places where one more part like the one in With would be needed: what is there is in another box.
	Wanted []string
	Left   float64 // what would be left of it; NaN where it goes with nothing
	Fails  string  // why that box does not pass; empty where it does, but for the parts wanted
}

// notSure is why a box does not pass that holds every limit as measured.
const notSure = "what the gauge and the readings leave open"

// over looks through all combinations for the best that each unused part is in.
func (t *Table) over(used []map[int]bool, made map[int]*Made) (out []Leftover) {
	best := make([]map[int]int, len(t.bins)) // combination by part, bin by bin
	for b := range best {
		best[b] = map[int]int{}
	}
	worthOf := func(i int) worth {
		w := t.tried[i]
		if m, judged := made[i]; judged && m == nil && w.fails == "" {
			w.fails = notSure
		}
		return w
	}
	for i := range t.tried {
		for b, p := range t.picks(i) {
			if used[b][p] {
				continue
			}
			if k, known := best[b][p]; !known || worthOf(i).better(worthOf(k)) {
				best[b][p] = i
			}
		}
	}
	for b := range t.bins {
		for p, name := range t.bins[b] {
			i, known := best[b][p]
			if !known {
				continue
			}
			w := worthOf(i)
			l := Leftover{Part: Pick{t.box.Places[b], name}, Left: w.left, Fails: w.fails}
			for o, q := range t.picks(i) {
				if o == b {
					continue
				}
				l.With = append(l.With, Pick{t.box.Places[o], t.bins[o][q]})
				if used[o][q] {
					l.Wanted = append(l.Wanted, t.box.Places[o])
				}
			}
			out = append(out, l)
		}
	}
	return out
}
