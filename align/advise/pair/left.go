package pair

import (
	"context"
	"slices"
)

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

// leftovers are the parts that no box uses, each in the best box that it could be in. That box is judged
// as well: what does not pass would use nothing.
func (c *chooser) leftovers(ctx context.Context, used []map[int]bool) ([]Leftover, error) {
	known := map[int]worth{}
	for {
		out, boxes := c.over(used, known)
		var unsure [][]int
		for n, i := range boxes {
			if c.made[i].made == nil && out[n].Fails == "" {
				unsure = append(unsure, c.t.picks(i))
			}
		}
		if len(unsure) == 0 {
			return out, nil
		}
		if _, err := c.allPass(ctx, unsure, len(unsure)); err != nil {
			return nil, err
		}
	}
}

// over looks through all combinations for the best that each unused part is in, and lists these.
func (c *chooser) over(used []map[int]bool, known map[int]worth) (out []Leftover, boxes []int) {
	t := c.t
	in := make([]map[int][]int, len(t.bins)) // combinations of each part that is left over, bin by bin
	for b := range in {
		in[b] = map[int][]int{}
	}
	for i := range t.tried {
		for b, p := range t.picks(i) {
			if !used[b][p] {
				in[b][p] = append(in[b][p], i)
			}
		}
	}
	for b := range t.bins {
		for p, name := range t.bins[b] {
			if len(in[b][p]) == 0 {
				continue
			}
			i, w := c.bestOf(in[b][p], known)
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
			out, boxes = append(out, l), append(boxes, i)
		}
	}
	return out, boxes
}

// worthOf is what a combination is worth, as far as it was judged.
func (c *chooser) worthOf(i int) worth {
	w := c.t.tried[i]
	if m := c.made[i].made; m != nil {
		w.left = m.Left // perhaps at another clocking
	} else if c.out[i] && w.fails == "" {
		w.fails = notSure
	}
	return w
}

// bestOf is the best of some combinations, the first of those that are alike. What fails for certain is
// worked out in full only where nothing better is known than what it is at most; known keeps that.
func (c *chooser) bestOf(list []int, known map[int]worth) (best int, of worth) {
	t := c.t
	order := slices.Clone(list)
	slices.SortStableFunc(order, func(i, k int) int {
		switch a, b := c.worthOf(i), c.worthOf(k); {
		case a.better(b):
			return -1
		case b.better(a):
			return 1
		}
		return 0
	})
	best = -1
	for _, i := range order {
		w := c.worthOf(i)
		if best >= 0 && !w.better(of) {
			continue
		}
		if w.rough {
			exact, is := known[i]
			if !is {
				if exact = t.exact(t.picks(i)); exact.fails == "" {
					exact.fails = w.fails
				}
				known[i] = exact
			}
			w = exact
		}
		if best < 0 || w.better(of) || i < best && !of.better(w) {
			best, of = i, w
		}
	}
	return best, of
}
