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

	// Judged is how many boxes were judged in full to come here, RuledOut how many of them did not pass.
	Judged, RuledOut int
}

// Choose picks the boxes: the most that pass, of those ways the one whose tightest box has most left,
// and of those the one with most left in all. When ctx ends it stops before the next box, with an error
// that wraps the cause.
func (t *Table) Choose(ctx context.Context) (*Pairing, error) {
	c := chooser{t, map[int]*Made{}}
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
		again := false
		for _, picks := range p.Chosen {
			i := t.index(picks)
			if left := c.left(i); left != values[i] {
				values[i], again = left, true
			}
		}
		if !again {
			return c.pairing(p), nil
		}
	}
}

// combination is one pick a bin; bins that are not there are 0.
type combination [3]int

// judged is what was judged of the parts of a table, and of those that it was extended from; nil for
// what does not pass.
type judged struct {
	mu   sync.Mutex
	made map[combination]*Made
}

// chooser remembers what one choice had judged, by combination.
type chooser struct {
	t    *Table
	made map[int]*Made // nil: it does not pass
}

// left is what is left of a combination that was judged; NaN where it does not pass.
func (c *chooser) left(i int) float64 {
	if m := c.made[i]; m != nil {
		return m.Left
	}
	return math.NaN()
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
	made := make([]*Made, len(fresh))
	err := c.t.each(ctx, len(fresh), func(_, k int) { made[k] = c.t.judge(ctx, fresh[k]) })
	for k, i := range fresh {
		c.made[i] = made[k]
	}
	return err
}

// judge judges a combination in full, at the best of its clockings, and where that does not pass at the
// others that may; nil where none passes.
func (t *Table) judge(ctx context.Context, i int) *Made {
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
func (t *Table) judgeNow(ctx context.Context, picks []int, best worth) *Made {
	s, err := t.put(picks)
	if err != nil {
		return nil
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
		verdicts, passes, err := origin.Passes(ctx, made, t.box.Limits)
		if err != nil || !passes {
			continue
		}
		if _, err := made.Solve(); err == nil { // all that a run of the record says of it
			return &Made{t.named(picks), t.turns[k], w.left, made, verdicts}
		}
	}
	return nil
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
func (c *chooser) pairing(p assign.Picks) *Pairing {
	out := &Pairing{Title: c.t.box.Stack.Title, Of: c.t.of, Most: p.MostBound, Least: p.LeastBound, Proved: p.Proved(), Judged: len(c.made)}
	for _, m := range c.made {
		if m == nil {
			out.RuledOut++
		}
	}
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
	out.Over = c.t.over(used, c.made)
	return out
}
