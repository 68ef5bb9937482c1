package study

import (
	"context"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// holdsEverywhere reports whether a limit holds in every state: margin or use that names none.
func holdsEverywhere(l *record.Limit) bool {
	return l.State == "" && lineWide(l.Output.What) && (l.Least.Given || l.Greatest.Given)
}

// lineWide reports whether a quantity is of all shafts together.
func lineWide(q align.Quantity) bool { return quantity.Of(q).Thing == quantity.Line }

// everyState judges the limits that hold in every state in each, and lets the worst govern.
func (c *court) everyState(ctx context.Context, limits []record.Limit, out []Verdict) error {
	var own []int
	for k := range limits {
		if holdsEverywhere(&limits[k]) {
			own = append(own, k)
		}
	}
	if len(own) == 0 {
		return nil
	}
	for i := range c.stack.States {
		if err := stopped(ctx); err != nil {
			return err
		}
		name := c.stack.States[i].Name
		there := make([]Verdict, len(limits))
		if err := c.state(limits, own, name, there, out); err != nil {
			return err
		}
		for _, k := range own {
			if worse(&there[k], &out[k]) {
				out[k].Word, out[k].At, out[k].Room, out[k].U, out[k].Holds, out[k].Corrected, out[k].InState = there[k].Word, there[k].At, there[k].Room, there[k].U, there[k].Holds, there[k].Corrected, name
			}
		}
		if c.brief && worst(out) > tolerance.Pass {
			return nil
		}
	}
	return nil
}

// sameSlack is the difference of two slacks that is rounding, so that a state which changes nothing
// never governs.
const sameSlack = 1e-9

// worse reports whether a verdict is worse than another of the same limit: the graver word, then the
// smaller slack; none at all, because there is no line or it does not assemble, is the smallest.
func worse(a, b *Verdict) bool {
	switch {
	case a.Word != b.Word:
		return a.Word > b.Word
	case !b.Room.Given:
		return false
	}
	return !a.Room.Given || a.Room.Value < b.Room.Value-sameSlack
}
