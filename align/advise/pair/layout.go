package pair

import (
	"fmt"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// held is the limits of one state, and the outputs that they and what is compared need, each once.
type held struct {
	state   string
	limits  []record.Limit
	of      []int // output of each limit
	outputs []align.Output
}

// layOut finds the bins, the clockings and the limits.
func (t *Table) layOut() error {
	s := &t.box.Stack
	if err := s.Validate(); err != nil {
		return err
	}
	if len(t.box.Limits) == 0 {
		return fault.At("limits", "", "a limit that a box must hold to pass", fault.ErrMissing)
	}
	if len(t.box.Places) == 0 {
		for _, c := range s.Candidates {
			t.box.Places = append(t.box.Places, c.Place)
		}
	}
	if len(s.Candidates) == 0 {
		return fault.At("candidates", "", "the other parts of one to three bins, under the place that they may take", fault.ErrMissing)
	}
	if n := len(t.box.Places); n < 1 || n > 3 {
		return fault.At("places", fmt.Sprint(n), "one to three places with candidates", fault.ErrOutOfRange)
	}
	n := 1
	for i, place := range t.box.Places {
		if slices.Contains(t.box.Places[:i], place) {
			return fault.At("places", fmt.Sprintf("%q", place), "each place once", fault.ErrRepeated)
		}
		k := slices.IndexFunc(s.Candidates, func(c align.Candidates) bool { return c.Place == place })
		if k < 0 {
			return fault.At("places", fmt.Sprintf("%q", place), "a place of the stack that has candidates", fault.ErrUnknownName)
		}
		bin := []string{place + " (in place)"}
		for _, p := range s.Candidates[k].Parts {
			bin = append(bin, p.Name)
		}
		t.bins = append(t.bins, bin)
		if n *= len(bin); n > mostCombinations {
			return fault.At("candidates", fmt.Sprintf("%d combinations and more", n), fmt.Sprintf("at most %d", mostCombinations), fault.ErrTooMany)
		}
	}
	t.tried = make([]worth, n)
	if err := t.layTurns(); err != nil {
		return err
	}
	if err := t.compareBy(); err != nil {
		return err
	}
	t.layStates()
	return nil
}

// layTurns lists the clockings: every step of every part that may be turned, as it stands first.
func (t *Table) layTurns() error {
	t.turns = [][]advise.Correction{nil}
	for i, w := range t.box.Turns {
		if w.Holes < 2 || w.Holes > 360 {
			return fault.At(fmt.Sprintf("turns/%d/holes", i), fmt.Sprint(w.Holes), "2 to 360 equal steps in a turn", fault.ErrOutOfRange)
		}
		var next [][]advise.Correction
		for _, way := range t.turns {
			next = append(next, way)
			for k := 1; k < w.Holes; k++ {
				turn := advise.Correction{
					Kind: advise.Reclock, Place: w.Part, Redrill: w.Redrill,
					Turn: tolerance.Angle(2 * math.Pi * float64(k) / float64(w.Holes)),
				}
				next = append(next, append(slices.Clone(way), turn))
			}
		}
		if t.turns = next; len(next) > mostTurns {
			return fault.At("turns", fmt.Sprintf("%d clockings", len(next)), fmt.Sprintf("at most %d", mostTurns), fault.ErrTooMany)
		}
	}
	return nil
}

// compareBy takes the margin, or without shafts the output of the first limit on a number as measured.
func (t *Table) compareBy() error {
	if len(t.box.Stack.Shafts) > 0 {
		t.of = align.Output{What: align.Margin}
		return nil
	}
	for _, l := range t.box.Limits {
		if l.State == "" && (l.Least.Given || l.Greatest.Given) {
			t.of = l.Output
			return nil
		}
	}
	return fault.At("limits", "", "a shaft line or a limit on a number to compare by", fault.ErrMissing)
}

// layStates groups the limits that rule boxes out by the states that they are judged in, as measured first; what is
// compared is the first output there.
func (t *Table) layStates() {
	t.states = []held{{outputs: []align.Output{t.of}}}
	for _, l := range t.box.Limits {
		if t.free || !rulesOut(l) {
			continue
		}
		k := slices.IndexFunc(t.states, func(h held) bool { return h.state == l.State })
		if k < 0 {
			k, t.states = len(t.states), append(t.states, held{state: l.State})
		}
		h := &t.states[k]
		at := slices.Index(h.outputs, l.Output)
		if at < 0 {
			at, h.outputs = len(h.outputs), append(h.outputs, l.Output)
		}
		h.limits, h.of = append(h.limits, l), append(h.of, at)
	}
}
