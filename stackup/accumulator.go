package stackup

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/law"
)

// BlockSize is the number of samples in a block: the unit of draws, of work and of replay.
const BlockSize = 1024

// Accumulator is what some blocks of a study came to. Accumulators of the same study and seed over other blocks merge, in any order and grouping, to the same bytes: the blocks are the leaves of one binary tree, an accumulator holds complete subtrees, and siblings merge the lower first.
//
// It is made by [Study.Run]; it serialises with [Accumulator.MarshalBinary]. The zero value is not usable.
type Accumulator struct {
	Seed   uint64
	Stream int // version of the draws
	names  []string
	trees  []tree // disjoint, ascending
	shapes []histogram
	good   []uint64 // samples within limits, per response
	total  uint64   // samples
}

// tree is a complete subtree of blocks: level l, index i covers blocks i·2^l to (i+1)·2^l − 1.
type tree struct {
	Level, Index uint64
	Of           []moments // per response
}

func (t *tree) first() uint64 { return t.Index << t.Level }
func (t *tree) last() uint64  { return (t.Index+1)<<t.Level - 1 }

// newAccumulator is an empty accumulator of a study; centres are the outputs at zero deviation.
func newAccumulator(s *Study, seed uint64, centres []float64) *Accumulator {
	t := &Accumulator{Seed: seed, Stream: law.StreamVersion, shapes: make([]histogram, len(s.Responses)), good: make([]uint64, len(s.Responses))}
	for i := range s.Responses {
		t.names = append(t.names, s.Responses[i].Name)
		if c := centres[i]; c-c == 0 {
			t.shapes[i].centre = c
		}
	}
	return t
}

// emptyShapes are histograms with the accumulator's centres.
func (t *Accumulator) emptyShapes() []histogram {
	out := make([]histogram, len(t.shapes))
	for i := range out {
		out[i].centre = t.shapes[i].centre
	}
	return out
}

// add takes the next block.
func (t *Accumulator) add(l *leaf) {
	t.insert(l.tree)
	t.total += uint64(l.n)
	for i, n := range l.good {
		t.good[i] += n
	}
	for i, y := range l.y {
		t.shapes[i].add(y)
	}
}

// join adds histograms.
func (t *Accumulator) join(shapes []histogram) {
	for i := range shapes {
		t.shapes[i].join(&shapes[i])
	}
}

// Samples is how many samples the accumulator holds.
func (t *Accumulator) Samples() int { return int(t.total) }

// Blocks lists the ranges of blocks that the accumulator holds, [from, to) each, ascending.
func (t *Accumulator) Blocks() [][2]int {
	var out [][2]int
	for i := range t.trees {
		from, to := int(t.trees[i].first()), int(t.trees[i].last())+1
		if n := len(out); n > 0 && out[n-1][1] == from {
			out[n-1][1] = to
			continue
		}
		out = append(out, [2]int{from, to})
	}
	return out
}

// insert adds a subtree and merges siblings as far as they go. It reports false when the accumulator holds some of its blocks already.
func (t *Accumulator) insert(n tree) bool {
	at := sort.Search(len(t.trees), func(i int) bool { return t.trees[i].first() >= n.first() })
	if at > 0 && t.trees[at-1].last() >= n.first() || at < len(t.trees) && t.trees[at].first() <= n.last() {
		return false
	}
	t.trees = slices.Insert(t.trees, at, n)
	for {
		lower := at - int(t.trees[at].Index&1) // where the lower of the two siblings is, if both are there
		if lower < 0 || lower+1 >= len(t.trees) || !t.trees[lower].siblingOf(&t.trees[lower+1]) {
			return true
		}
		at = lower
		t.trees[at] = t.trees[at].joined(&t.trees[at+1])
		t.trees = slices.Delete(t.trees, at+1, at+2)
	}
}

// siblingOf reports whether two subtrees are the lower and the upper half of one.
func (t *tree) siblingOf(upper *tree) bool {
	return t.Level == upper.Level && t.Index&1 == 0 && t.Index+1 == upper.Index
}

// joined is the subtree of two siblings.
func (t *tree) joined(upper *tree) tree {
	out := tree{t.Level + 1, t.Index >> 1, make([]moments, len(t.Of))}
	for i := range out.Of {
		out.Of[i] = t.Of[i].join(upper.Of[i])
	}
	return out
}

// Merge adds the blocks of another accumulator of the same study and seed. It returns an error, and changes nothing, when they are not of the same study or share blocks.
func (t *Accumulator) Merge(o *Accumulator) error {
	const where, want = "merge", "accumulators of one study"
	switch {
	case t.Seed != o.Seed || t.Stream != o.Stream:
		return fault.At(where, fmt.Sprintf("seeds %d and %d, streams %d and %d", t.Seed, o.Seed, t.Stream, o.Stream), want, fault.ErrConflict)
	case !slices.Equal(t.names, o.names):
		return fault.At(where, "other responses", want, fault.ErrConflict)
	}
	for i := range t.shapes {
		if a, b := t.shapes[i].centre, o.shapes[i].centre; a != b {
			return fault.At(where, fmt.Sprintf("%s is %g at zero deviation, and %g", t.names[i], a, b), want, fault.ErrConflict)
		}
	}
	trial := Accumulator{trees: slices.Clone(t.trees)}
	for _, n := range o.trees {
		if !trial.insert(n) {
			return fault.At(where, fmt.Sprintf("blocks %d to %d are held already", n.first(), n.last()), "each block once", fault.ErrRepeated)
		}
	}
	t.trees = trial.trees
	t.total += o.total
	t.join(o.shapes)
	for i, n := range o.good {
		t.good[i] += n
	}
	return nil
}

// all are the moments of every sample, subtrees joined in ascending order.
func (t *Accumulator) all(i int) moments {
	m := moments{Least: math.Inf(1), Most: math.Inf(-1)}
	for k := range t.trees {
		m = m.join(t.trees[k].Of[i])
	}
	return m
}
