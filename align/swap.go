package align

import (
	"fmt"
	"math"
	"slices"

	"example.com/borestack/fault"
)

// Swaps works out one box after another that differ in which of their candidates stand in their
// places, joints where they lie and over the float. What no candidate changes is worked out once. It
// is for one goroutine.
type Swaps struct {
	k       *kernel
	o       *over
	places  [][]swapPart // of each list of candidates: the part in place, and its candidates
	at      []int        // place of each list among the parts
	picked  []int
	outputs []outputAt
}

// swapPart is a part for a place, in the state that is meant, as mounted.
type swapPart struct {
	part    Part
	mounted mountedPart
}

// Swaps checks the stack with every candidate alone in its place, and prepares the outputs of all
// boxes that they make in one of its states; "" as measured. The parts in place are picked first.
// A candidate must carry the bores, faces and dowel holes of the part in place, in its order; one
// that does not is an error that wraps [fault.ErrConflict].
func (s Stack) Swaps(state string, out []Output) (*Swaps, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	in := func(s Stack) (Stack, error) {
		if state == "" {
			s.Candidates, s.States = nil, nil
			return s, nil
		}
		return s.InState(state)
	}
	own, err := in(s)
	if err != nil {
		return nil, err
	}
	w := &Swaps{k: newKernel(own, newLayout(&own)), picked: make([]int, len(s.Candidates))}
	for _, c := range s.Candidates {
		i := slices.IndexFunc(s.Parts, func(p Part) bool { return p.Name == c.Place })
		list := []swapPart{newSwapPart(w.k.stack.Parts[i])}
		for n := range c.Parts {
			with, err := s.WithCandidate(c.Place, n)
			if err == nil {
				with, err = in(with)
			}
			if err != nil {
				return nil, err
			}
			if !sameFeatures(&own.Parts[i], &with.Parts[i]) {
				return nil, fault.At(fmt.Sprintf("/candidates/%s/%d", c.Place, n), "other features", "the bores, faces and dowel holes of the part in place, in its order", fault.ErrConflict)
			}
			list = append(list, newSwapPart(with.Parts[i]))
		}
		w.places, w.at = append(w.places, list), append(w.at, i)
	}
	for i := range out {
		r, err := w.k.resolve(out[i])
		if err != nil {
			return nil, fmt.Errorf("output %d: %w", i, err)
		}
		w.outputs = append(w.outputs, r)
	}
	for i := range w.k.parts {
		w.k.parts[i].mount(&w.k.stack.Parts[i])
		w.k.still.parts[i] = true // a part that is put in comes mounted
	}
	if err := w.Put(w.picked); err != nil {
		return nil, err
	}
	return w, nil
}

func newSwapPart(p Part) swapPart {
	q := swapPart{p, newMountedPart(&p)}
	q.mounted.mount(&q.part)
	return q
}

// sameFeatures reports whether the names of one part lead to the same places on another.
func sameFeatures(a, b *Part) bool {
	sides := [2][2]*Face{{a.Front, b.Front}, {a.Rear, b.Rear}}
	for _, f := range sides {
		if (f[0] == nil) != (f[1] == nil) {
			return false
		}
		if f[0] != nil && (!slices.EqualFunc(f[0].Dowels, f[1].Dowels, func(p, q Dowel) bool { return p.Name == q.Name }) || (f[0].Thickness == nil) != (f[1].Thickness == nil)) {
			return false
		}
	}
	return a.Turned == b.Turned && slices.EqualFunc(a.Bores, b.Bores, func(p, q Bore) bool { return p.Name == q.Name })
}

// Put makes the box with these candidates, one of each list: 0 for the part in place, n for the n-th
// candidate. It works out how the parts sit. Picks of other lists or candidates than there are, are
// an error that wraps [fault.ErrOutOfRange], two candidates that meet at a joint that nothing
// locates one that wraps [fault.ErrNotLocated].
func (w *Swaps) Put(picks []int) error {
	k := w.k
	if err := w.check(picks); err != nil {
		return err
	}
	for l, n := range picks {
		if i := w.at[l]; w.picked[l] != n {
			w.picked[l] = n
			k.stack.Parts[i], k.parts[i] = w.places[l][n].part, w.places[l][n].mounted
			for _, joint := range []int{i - 1, i} {
				if joint >= 0 && joint < len(k.still.joints) {
					k.still.joints[joint] = false
				}
			}
		}
	}
	if err := k.solve(); err != nil {
		return err
	}
	for i, s := range k.seats {
		if !k.still.joints[i] && (s.set.Turns || !s.pilot) && !s.set.Bounded(s.pilot) {
			return &fault.FieldError{Path: fmt.Sprintf("/joints/%d", i), Value: "pins or bolts that leave a way to move", Want: "locators that hold", Err: fault.ErrNotLocated}
		}
		k.still.joints[i] = true
	}
	if w.o == nil {
		w.o = k.newOver()
	} else {
		w.o.reset()
	}
	return nil
}

// check refuses picks of other lists or candidates than there are.
func (w *Swaps) check(picks []int) error {
	if len(picks) != len(w.places) {
		return &fault.FieldError{Path: "/candidates", Value: fmt.Sprint(len(picks), " picks"), Want: fmt.Sprint("one of each of ", len(w.places), " lists"), Err: fault.ErrOutOfRange}
	}
	for l, n := range picks {
		if n < 0 || n >= len(w.places[l]) {
			return &fault.FieldError{Path: fmt.Sprintf("/candidates/%d", l), Value: fmt.Sprint("pick ", n), Want: fmt.Sprint("0 to ", len(w.places[l])-1), Err: fault.ErrOutOfRange}
		}
	}
	return nil
}

// Assembles reports whether every joint of the box assembles.
func (w *Swaps) Assembles() bool {
	return !slices.ContainsFunc(w.k.seats, func(s *seating) bool { return s.set.Lack > 0 })
}

// Rest is output i where the joints rest; +Inf for a use without any line.
func (w *Swaps) Rest(i int) (float64, error) { return w.o.restValue(&w.outputs[i]) }

// Ends are the least and the greatest of output i over the float, each only where it is asked for,
// NaN otherwise.
func (w *Swaps) Ends(i int, least, greatest bool) (lo, hi float64, err error) {
	r := &w.outputs[i]
	var want end
	if least {
		want |= lowEnd
	}
	if greatest {
		want |= highEnd
	}
	if lo, hi, err = w.o.endsOf(r, want); err != nil {
		return math.NaN(), math.NaN(), err
	}
	if !least {
		lo = math.NaN()
	}
	if !greatest {
		hi = math.NaN()
	}
	return lo, hi, nil
}
