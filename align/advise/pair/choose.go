package pair

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"sync"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	"example.com/borestack/align/advise/internal/assign"
	"example.com/borestack/align/study"
)

// Pick is a part, by its place and its name there.
type Pick struct{ Place, Name string }

// Made is one box to be built. It passes.
type Made struct {
	Parts    []Pick // one a bin, in the order of the places
	Turned   []advise.Correction
	Left     float64 // see [Pairing.Of]; at the worst float, as measured
	Stack    align.Stack
	Verdicts []study.Verdict // one a limit, in order
}

// Pairing is which part goes with which. The zero value is an empty one.
type Pairing struct {
	Title string
	Of    align.Output // what Left is of: the margin, mm; without shafts the room of the first limit, in its base unit
	Boxes []Made       // tightest first
	Over  []Leftover

	// Most is a number of boxes that no way exceeds, Least what the tightest box of no way with as many
	// boxes as here exceeds. Both are reached where Proved says so.
	Most   int
	Least  float64
	Proved bool

	RuledOut int // how many boxes were judged in full to come here and did not pass
}

// Choose picks the boxes: the most that pass, of those ways the one whose tightest box has most left,
// and of those the one with most left in all. When ctx ends it stops before the next box, with an error
// that wraps the cause.
func (t *Table) Choose(ctx context.Context) (*Pairing, error) {
	c := chooser{t, map[int]*Made{}, make([]bool, len(t.tried))}
	sizes, values := make([]int, len(t.bins)), make([]float64, len(t.tried))
	for b := range sizes {
		sizes[b] = len(t.bins[b])
	}
	for i, w := range t.tried {
		if values[i] = w.left; w.fails != "" {
			values[i] = math.NaN()
		}
	}
	for {
		p, err := assign.Best(ctx, assign.Table{Sizes: sizes, Value: values})
		if err != nil {
			return nil, fmt.Errorf("pair: stopped: %w", err)
		}
		if err := c.judgeAll(ctx, p.Chosen); err != nil {
			return nil, err
		}
		failing := slices.DeleteFunc(slices.Clone(p.Chosen), func(picks []int) bool { return !c.out[t.index(picks)] })
		if len(failing) == 0 {
			return c.pairing(ctx, p)
		}
		if err := c.judgeAll(ctx, c.ahead(failing)); err != nil {
			return nil, err
		}
		for i, out := range c.out {
			if out {
				values[i] = math.NaN()
			}
		}
	}
}

// combination is one pick a bin; bins that are not there are 0.
type combination [3]int

// judged is what was judged of the parts of a table, before of the one that it was extended from.
type judged struct {
	mu   sync.Mutex
	made map[combination]judgement
}

// judgement is what was found of one combination: the box, or why there is none.
type judgement struct {
	made    *Made    // nil: it does not pass
	settled []string // by these parts, in every box that has them
}

// chooser remembers what one choice had judged, by combination.
type chooser struct {
	t    *Table
	made map[int]*Made // nil: it does not pass
	out  []bool        // combinations that do not pass, whether or not they were judged
}

// judgeAll judges what has not been judged yet.
func (c *chooser) judgeAll(ctx context.Context, chosen [][]int) error {
	var fresh []int
	for _, picks := range chosen {
		i := c.t.index(picks)
		if _, known := c.made[i]; !known {
			fresh = append(fresh, i)
		}
	}
	found := make([]judgement, len(fresh))
	err := c.t.each(ctx, len(fresh), func(_, k int) { found[k] = c.t.judge(ctx, fresh[k]) })
	for k, i := range fresh {
		if c.made[i] = found[k].made; found[k].made == nil {
			c.out[i] = true
			c.rule(i, found[k].settled)
		}
	}
	return err
}

// ahead are further combinations of parts whose boxes keep failing, the best first: of each as many as have
// failed before this round, so that a part that passes in none takes few rounds.
func (c *chooser) ahead(failing [][]int) (list [][]int) {
	type part struct{ bin, pick int }
	failed, open := map[part]int{}, map[part][]int{}
	for _, picks := range failing {
		for b, p := range picks {
			failed[part{b, p}] = -1
		}
	}
	for i := range c.t.tried {
		made, known := c.made[i]
		for b, p := range c.t.picks(i) {
			of := part{b, p}
			switch _, keeps := failed[of]; {
			case !keeps:
			case known && made == nil:
				failed[of]++
			case !known && !c.out[i] && c.t.tried[i].fails == "":
				open[of] = append(open[of], i)
			}
		}
	}
	for of, more := range open {
		slices.SortStableFunc(more, func(i, k int) int { return cmp.Compare(c.t.tried[k].left, c.t.tried[i].left) })
		for _, i := range more[:min(len(more), failed[of])] {
			list = append(list, c.t.picks(i))
		}
	}
	return list
}

// rule rules out every combination that has the same of the parts that settled it as combination i.
func (c *chooser) rule(i int, parts []string) {
	other := func(place string) bool { return !slices.Contains(parts, place) }
	if len(parts) == 0 || len(c.t.turns) > 1 || !slices.ContainsFunc(c.t.box.Places, other) {
		return
	}
	picks := c.t.picks(i)
	for k := range c.out {
		same := true
		for b, p := range c.t.picks(k) {
			same = same && (p == picks[b] || other(c.t.box.Places[b]))
		}
		c.out[k] = c.out[k] || same
	}
}

// judge judges a combination in full, at the best of its clockings, and where that does not pass at the
// others that may; nil where none passes.
func (t *Table) judge(ctx context.Context, i int) judgement {
	picks := t.picks(i)
	var key combination
	copy(key[:], picks)
	t.judged.mu.Lock()
	made, known := t.judged.made[key]
	t.judged.mu.Unlock()
	if known {
		return made
	}
	made = t.judgeNow(ctx, picks, t.tried[i])
	if ctx.Err() == nil {
		t.judged.mu.Lock()
		t.judged.made[key] = made
		t.judged.mu.Unlock()
	}
	return made
}

// judgeNow is judge of what has not been judged before.
func (t *Table) judgeNow(ctx context.Context, picks []int, best worth) (found judgement) {
	s, err := t.put(picks)
	if err != nil {
		return found
	}
	origin := t.box.Origin
	for b, p := range picks {
		if p > 0 {
			origin = origin.With(t.box.Places[b], p-1)
		}
	}
	ways := []int{best.way}
	for k := range t.turns {
		if k != best.way {
			ways = append(ways, k)
		}
	}
	for n, k := range ways {
		w := best
		if n > 0 {
			if w = t.worth(s, t.turns[k]); w.fails != "" {
				continue
			}
		}
		made, err := turned(s, t.turns[k])
		if err != nil || math.IsNaN(w.left) {
			continue
		}
		verdicts, settled, err := origin.Passes(ctx, made, t.box.Limits)
		if found.settled = settled; err != nil || verdicts == nil {
			continue
		}
		if _, err := made.Solve(); err == nil { // all that a run of the record says of it
			found.made = &Made{t.named(picks), t.turns[k], w.left, made, verdicts}
			return found
		}
	}
	return found
}

// named are the parts that a combination takes.
func (t *Table) named(picks []int) []Pick {
	out := make([]Pick, len(picks))
	for b, p := range picks {
		out[b] = Pick{t.box.Places[b], t.bins[b][p]}
	}
	return out
}

// pairing is the answer, once all that was picked passes.
func (c *chooser) pairing(ctx context.Context, p assign.Picks) (*Pairing, error) {
	out := &Pairing{Title: c.t.box.Stack.Title, Of: c.t.of, Most: p.MostBound, Least: p.LeastBound, Proved: p.Proved()}
	used := make([]map[int]bool, len(c.t.bins))
	for b := range used {
		used[b] = map[int]bool{}
	}
	for _, picks := range p.Chosen {
		out.Boxes = append(out.Boxes, *c.made[c.t.index(picks)])
		for b, k := range picks {
			used[b][k] = true
		}
	}
	slices.SortStableFunc(out.Boxes, func(a, b Made) int { return cmp.Compare(a.Left, b.Left) })
	var err error
	out.Over, err = c.leftovers(ctx, used)
	for _, m := range c.made {
		if m == nil {
			out.RuledOut++
		}
	}
	return out, err
}
