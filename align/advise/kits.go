package advise

import (
	"context"
	"fmt"
	"math"

	"example.com/borestack/align/advise/internal/assign"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// mostKitPlaces is how many bins package assign takes.
const mostKitPlaces = 3

// leftUnknown stands for what is left of a box that passes without a number to compare by: it comes after
// every box that has one, in whatever unit.
const leftUnknown = -1e9

// Kits picks fits that pass and share no part: the most boxes, and of those ways the one whose tightest
// box has most left. It returns indices into Fits, best first. Every pick counts as a part of its own, the
// one measured in place too. With one or two places that is the best there is; with three it is as good as
// was found, and package pair says how good that is.
//
// More places are an error that wraps [fault.ErrTooMany]; when ctx ends first, the error wraps the cause.
func (c *Comparison) Kits(ctx context.Context) ([]int, error) {
	if err := stopped(ctx); err != nil {
		return nil, err
	}
	if n := len(c.Places); n < 1 || n > mostKitPlaces {
		return nil, fault.At("places", fmt.Sprint(n), fmt.Sprintf("one to %d places", mostKitPlaces), fault.ErrTooMany)
	}
	bins := make([]map[string]int, len(c.Places))
	t := assign.Table{Sizes: make([]int, len(bins))}
	for b := range bins {
		bins[b] = map[string]int{}
		for i := range c.Fits {
			if name := c.Fits[i].Picks[b].label(); bins[b][name] == 0 {
				bins[b][name] = len(bins[b]) + 1
			}
		}
		t.Sizes[b] = len(bins[b])
	}
	at := func(f *Fit) (i int) {
		for b, n := range t.Sizes {
			i = i*n + bins[b][f.Picks[b].label()] - 1
		}
		return i
	}
	all := 1
	for _, n := range t.Sizes {
		all *= n
	}
	t.Value = make([]float64, all)
	for i := range t.Value {
		t.Value[i] = math.NaN()
	}
	for i := range c.Fits {
		if f := &c.Fits[i]; f.Result.Word <= tolerance.Pass {
			t.Value[at(f)] = f.Standing.Left.Or(leftUnknown)
		}
	}
	p, err := assign.Best(ctx, t)
	if err != nil {
		return nil, fmt.Errorf("advise: stopped: %w", err)
	}
	picked := map[int]bool{}
	for _, pick := range p.Chosen {
		picked[t.Index(pick)] = true
	}
	var out []int
	for i := range c.Fits {
		if picked[at(&c.Fits[i])] {
			out = append(out, i)
		}
	}
	return out, nil
}
