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

	RuledOut int // how many boxes were judged to come here and did not pass
}

// Choose picks the boxes: the most that pass, of those ways the one whose tightest box has most left,
// and of those the one with most left in all. When ctx ends it stops before the next box, with an error
// that wraps the cause.
func (t *Table) Choose(ctx context.Context) (*Pairing, error) {
	c := chooser{t, map[int]judgement{}, make([]bool, len(t.tried))}
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
		pass, err := c.allPass(ctx, p.Chosen, atOnce)
		if err != nil {
			return nil, err
		}
		for i, found := range c.made {
			if m := found.made; m != nil && m.Left != values[i] { // at another clocking
				values[i], pass = m.Left, false
			}
		}
		if pass {
			return c.pairing(ctx, p)
		}
		for i, out := range c.out {
			if out {
				values[i] = math.NaN()
			}
		}
	}
}

// judging is of one combination, by its pick in each bin, 0 of bins that are not there: of its joints, or in full.
type judging struct {
	picks  [3]int
	inFull bool
}

// judged is what was judged of the parts of a table, before of the one that it was extended from.
type judged struct {
	mu   sync.Mutex
	made map[judging]judgement
}

// judgement is what was found of one combination. The zero value is nothing that keeps it from passing.
type judgement struct {
	made    *Made    // it passes
	fails   bool     // it does not,
	settled []string // by these parts, in every box that has them
}

// chooser remembers what one choice had judged, by combination.
type chooser struct {
	t    *Table
	made map[int]judgement
	out  []bool // combinations that do not pass, whether or not they were judged
}

// atOnce is how many boxes are judged in full before it is looked whether all pass, the tightest first: they pass
// seldomest, and boxes of a way that fails are not judged for nothing.
const atOnce = 8

// allPass judges boxes, in full once the joints of all go together and so many at once; where some do not pass, more
// of their parts.
func (c *chooser) allPass(ctx context.Context, chosen [][]int, atOnce int) (bool, error) {
	chosen = slices.Clone(chosen)
	slices.SortStableFunc(chosen, func(a, b []int) int {
		return cmp.Compare(c.t.tried[c.t.index(a)].left, c.t.tried[c.t.index(b)].left)
	})
	pass, err := c.pass(ctx, chosen, false)
	for n := 0; n < len(chosen) && pass && err == nil; n += atOnce {
		pass, err = c.pass(ctx, chosen[n:min(n+atOnce, len(chosen))], true)
	}
	return pass, err
}

// pass judges some boxes, and where some do not pass more of their parts.
func (c *chooser) pass(ctx context.Context, some [][]int, inFull bool) (bool, error) {
	failing, err := c.judgeAll(ctx, some, inFull)
	if err == nil && len(failing) > 0 {
		_, err = c.judgeAll(ctx, c.ahead(failing), inFull)
	}
	return len(failing) == 0, err
}

// judgeAll judges what has not been judged yet, in full or only whether the joints go together, and returns
// what does not pass.
func (c *chooser) judgeAll(ctx context.Context, chosen [][]int, inFull bool) (failing [][]int, err error) {
	found := make([]judgement, len(chosen))
	err = c.t.each(ctx, len(chosen), func(_, k int) {
		i := c.t.index(chosen[k])
		if found[k] = c.made[i]; !found[k].fails && found[k].made == nil {
			found[k] = c.t.judge(ctx, i, inFull)
		}
	})
	for k, picks := range chosen {
		i := c.t.index(picks)
		if found[k].fails && !c.made[i].fails {
			c.out[i] = true
			c.rule(i, found[k].settled)
		}
		if c.made[i] = found[k]; found[k].fails {
			failing = append(failing, picks)
		}
	}
	return failing, err
}

// ahead are further combinations of parts whose boxes all fail so far, the best first: of each as many as have
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
		found := c.made[i]
		for b, p := range c.t.picks(i) {
			of := part{b, p}
			switch _, keeps := failed[of]; {
			case !keeps:
			case found.made != nil:
				delete(failed, of)
			case found.fails:
				failed[of]++
			case !c.out[i] && c.t.tried[i].fails == "":
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

// judge judges a combination, unless that is known.
func (t *Table) judge(ctx context.Context, i int, inFull bool) judgement {
	picks := t.picks(i)
	key := judging{inFull: inFull}
	copy(key.picks[:], picks)
	t.judged.mu.Lock()
	found, known := t.judged.made[key]
	t.judged.mu.Unlock()
	if known {
		return found
	}
	found = t.judgeNow(ctx, picks, t.tried[i], inFull)
	if ctx.Err() == nil {
		t.judged.mu.Lock()
		t.judged.made[key] = found
		t.judged.mu.Unlock()
	}
	return found
}

// judgeNow judges a combination in full, or only how its joints go together where there is but one clocking.
func (t *Table) judgeNow(ctx context.Context, picks []int, best worth, inFull bool) judgement {
	if !inFull && len(t.turns) > 1 {
		return judgement{}
	}
	s, err := t.put(picks)
	if err != nil {
		return judgement{fails: true}
	}
	origin := t.box.Origin
	for b, p := range picks {
		if p > 0 {
			origin = origin.With(t.box.Places[b], p-1)
		}
	}
	if inFull {
		return t.judgeWays(ctx, s, origin, picks, best)
	}
	may, settled, err := origin.MayPass(ctx, s, t.box.Limits)
	return judgement{fails: err != nil || !may, settled: settled}
}

// judgeWays judges a combination at the best of its clockings, and where that does not pass at the others
// that may, the best first.
func (t *Table) judgeWays(ctx context.Context, s align.Stack, origin study.Origin, picks []int, best worth) judgement {
	found := t.judgeWay(ctx, s, origin, picks, best)
	if found.made != nil {
		return found
	}
	var others []worth
	for k, turns := range t.turns {
		if k == best.way {
			continue
		}
		if w := t.worth(s, turns); w.fails == "" {
			w.way = k
			others = append(others, w)
		}
	}
	slices.SortStableFunc(others, func(a, b worth) int { return cmp.Compare(b.left, a.left) })
	for _, w := range others {
		if found = t.judgeWay(ctx, s, origin, picks, w); found.made != nil {
			break
		}
	}
	return found
}

// judgeWay judges a combination at one of its clockings.
func (t *Table) judgeWay(ctx context.Context, s align.Stack, origin study.Origin, picks []int, w worth) judgement {
	made, err := turned(s, t.turns[w.way])
	if err != nil || math.IsNaN(w.left) {
		return judgement{fails: true}
	}
	verdicts, settled, err := origin.Passes(ctx, made, t.box.Limits)
	if err == nil && verdicts != nil {
		_, err = made.Solve() // all that a run of the record says of it
	}
	if err != nil || verdicts == nil {
		return judgement{fails: true, settled: settled}
	}
	return judgement{made: &Made{t.named(picks), t.turns[w.way], w.left, made, verdicts}}
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
		out.Boxes = append(out.Boxes, *c.made[c.t.index(picks)].made)
		for b, k := range picks {
			used[b][k] = true
		}
	}
	slices.SortStableFunc(out.Boxes, func(a, b Made) int { return cmp.Compare(a.Left, b.Left) })
	var err error
	out.Over, err = c.leftovers(ctx, used)
	for _, m := range c.made {
		if m.fails {
			out.RuledOut++
		}
	}
	return out, err
}
