package pair

import (
	"errors"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/record"
	"example.com/borestack/fault"
)

// trial works out combinations one after the other; for one goroutine.
type trial struct {
	t     *Table
	swaps []*align.Swaps // one a state; nil where candidates differ in what they carry
	lists []int          // of the swaps, the list of each place
	own   []int          // picks of every list
}

func (t *Table) newTrial() (*trial, error) {
	on := &trial{t: t}
	candidates := t.box.Stack.Candidates
	on.own = make([]int, len(candidates))
	for _, place := range t.box.Places {
		for l, c := range candidates {
			if c.Place == place {
				on.lists = append(on.lists, l)
			}
		}
	}
	for _, h := range t.states {
		w, err := t.box.Stack.Swaps(h.state, h.outputs)
		if errors.Is(err, fault.ErrConflict) {
			on.swaps = nil
			return on, nil
		}
		if err != nil {
			return nil, err
		}
		on.swaps = append(on.swaps, w)
	}
	return on, nil
}

// worth holds one combination against the limits without the gauge. What fails where the joints rest
// fails at the worst float, which is not worked out then.
func (on *trial) worth(picks []int) worth {
	for b, p := range picks {
		on.own[on.lists[b]] = p
	}
	w := worth{left: math.NaN()}
	for k := range on.t.states {
		if err := on.state(k, &w); err != nil {
			return worth{left: math.NaN(), fails: err.Error()}
		}
		if w.rough {
			break
		}
	}
	return w
}

// state holds a combination against the limits of one state: where the joints rest, and where that holds
// over the float.
func (on *trial) state(k int, w *worth) error {
	h, s := &on.t.states[k], on.swaps[k]
	if err := s.Put(on.own); err != nil {
		return err
	}
	ranges := make([]ends, len(h.outputs))
	for i := range ranges {
		rest, err := s.Rest(i)
		if err != nil {
			return err
		}
		ranges[i] = ends{rest, rest, rest}
	}
	if k == 0 {
		w.left = on.t.leftOf(ranges[0])
	}
	w.fails = h.breaks(ranges)
	if !on.t.free && !s.Assembles() {
		w.fails = notAssembled
	}
	if w.rough = w.fails != ""; w.rough {
		return nil
	}
	err := on.overFloat(k, ranges, w)
	if k == 0 && err == nil && !w.rough {
		w.left = on.t.leftOf(ranges[0])
	}
	return err
}

// overFloat widens the ranges of one state to the ends over the float that limits need, until a limit breaks.
func (on *trial) overFloat(k int, ranges []ends, w *worth) error {
	h, s := &on.t.states[k], on.swaps[k]
	for i := range ranges {
		least, greatest := h.wanted(i)
		least = least || k == 0 && i == 0 && on.t.of.What == align.Margin
		if !least && !greatest {
			continue
		}
		lo, hi, err := s.Ends(i, least, greatest)
		if err != nil {
			return err
		}
		if least {
			ranges[i].low = lo
		}
		if greatest {
			ranges[i].high = hi
		}
		if w.fails = h.breaks(ranges); w.fails != "" {
			w.rough = true
			return nil
		}
	}
	return nil
}

// wanted says which ends of an output its limits need.
func (h *held) wanted(output int) (least, greatest bool) {
	for n, l := range h.limits {
		if h.of[n] == output && !l.Rests() {
			least, greatest = least || l.Least.Given, greatest || l.Greatest.Given
		}
	}
	return least, greatest
}

// breaks names the first limit that ranges of the outputs break; empty: none.
func (h *held) breaks(ranges []ends) string {
	for n, l := range h.limits {
		if breaks(l, ranges[h.of[n]]) {
			return l.Name()
		}
	}
	return ""
}

// ends are an output at rest and at its ends over the float; NaN where it cannot be said.
type ends struct{ rest, low, high float64 }

func endsOf(r align.Range) ends {
	rest := r.Rest.Or(math.NaN())
	return ends{rest, r.Low.Or(rest), r.High.Or(rest)}
}

// notAssembled is why a box fails that does not go together.
const notAssembled = "it does not assemble"

// worth holds one box against the limits without the gauge, every output over the whole float.
func (t *Table) worth(s align.Stack, way []advise.Correction) worth {
	s, err := turned(s, way)
	if err != nil {
		return worth{left: math.NaN(), fails: err.Error()}
	}
	w := worth{left: math.NaN()}
	for k := range t.states {
		h, in := &t.states[k], s
		if h.state != "" {
			if in, err = s.InState(h.state); err != nil {
				return worth{left: math.NaN(), fails: err.Error()}
			}
		}
		in.States = nil
		ranges, assembles, err := in.Ranges(h.outputs)
		if err != nil {
			return worth{left: math.NaN(), fails: err.Error()}
		}
		list := make([]ends, len(ranges))
		for i, r := range ranges {
			list[i] = endsOf(r)
		}
		if k == 0 {
			w.left = t.leftOf(list[0])
		}
		if !t.free && !assembles && w.fails == "" {
			w.fails = notAssembled
		}
		if w.fails == "" {
			w.fails = h.breaks(list)
		}
	}
	return w
}

// turned is the stack with its clockings carried out.
func turned(s align.Stack, way []advise.Correction) (align.Stack, error) {
	for _, c := range way {
		var err error
		if s, err = c.Apply(s); err != nil {
			return s, err
		}
	}
	return s, nil
}

// leftOf is how much of what is compared is left at the worst end.
func (t *Table) leftOf(r ends) float64 {
	if t.of.What == align.Margin {
		return r.low
	}
	left := math.Inf(1)
	for _, l := range t.box.Limits {
		if l.Output != t.of || l.State != "" {
			continue
		}
		low, high := heldBy(l, r)
		if l.Least.Given {
			left = min(left, low-l.Least.Value)
		}
		if l.Greatest.Given {
			left = min(left, l.Greatest.Value-high)
		}
	}
	return left
}

// heldBy are the ends that a limit is held against.
func heldBy(l record.Limit, r ends) (low, high float64) {
	if l.Rests() {
		return r.rest, r.rest
	}
	return r.low, r.high
}

// sameNumber is the share of a limit, and of its base unit, that a value may be beyond it by rounding: ten
// times what a judgement takes for the same number.
const sameNumber = 1e-8

// breaks says whether the worst end is beyond a limit, or is not there; without the gauge.
func breaks(l record.Limit, r ends) bool {
	low, high := heldBy(l, r)
	by := sameNumber * max(1, math.Abs(l.Least.Value), math.Abs(l.Greatest.Value))
	return l.Least.Given && !(low >= l.Least.Value-by) || l.Greatest.Given && !(high <= l.Greatest.Value+by)
}

// rulesOut reports whether a box that breaks the limit as measured fails it for certain. It does where what
// is left of the limit is concave in the readings: whatever they are off by, they may be off by the same
// the other way, and as measured at least the mean of both is left. What is greater for errors either way,
// a size, may be kept above a least value by them.
func rulesOut(l record.Limit) bool {
	kind := quantity.Of(l.Output.What)
	switch what := l.Output.What; {
	case what == align.Margin:
		return !l.Greatest.Given
	case what == align.Use, what == align.ThicknessVariation, kind.Size():
		return !l.Least.Given
	}
	return true
}
