package pair

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Box is what is asked about: a box whose stack carries the bins as candidates, and the clockings that
// are allowed. The zero value has no bins, which is refused.
type Box struct {
	advise.Box

	Places  []string // the places of one to three bins; none: all that have candidates
	Turns   []Turn   // parts that may be turned by steps of their hole pattern
	Workers int      // how many combinations are worked out at once; 0: one a processor
}

// Turn allows a part to be turned by steps of its hole pattern.
type Turn struct {
	Part    string
	Holes   int  // equal steps in a turn
	Redrill bool // its dowel holes may be drilled anew
}

// mostCombinations bounds what is tried: an hour's work on one slow core, and not by mistake.
const mostCombinations = 2_000_000

// mostTurns bounds the clockings of one combination.
const mostTurns = 10_000

// Table is every combination's worth. It is not changed once it is made, and may be shared.
type Table struct {
	box   Box
	of    align.Output // what is compared
	bins  [][]string   // names of the parts, bin by bin; the first is the one in place
	turns [][]advise.Correction
	tried []worth // the last bin's index runs fastest
}

// worth is a combination at the best of its clockings.
type worth struct {
	left  float64 // what is left at the worst float as measured; NaN where the box cannot be worked out
	way   int     // which clocking
	fails string  // why it cannot pass; empty where it can
}

// better says whether this is to be preferred.
func (w worth) better(than worth) bool {
	if (w.fails == "") != (than.fails == "") {
		return w.fails == ""
	}
	return w.left > than.left || math.IsNaN(than.left) && !math.IsNaN(w.left)
}

// Bins are the names of the parts in each place, the one measured in place first.
func (t *Table) Bins() [][]string { return t.bins }

// Combinations is how many there are, clockings not counted.
func (t *Table) Combinations() int { return len(t.tried) }

// Try works out every combination. The error is a fault of the box or of its bins, or wraps the cause
// when ctx ends before the last combination.
func Try(ctx context.Context, b Box) (*Table, error) { return try(ctx, b, nil) }

// Extend works out the combinations of parts that have been added behind the candidates of a box that
// is otherwise the same; those that this table knows are taken over.
func (t *Table) Extend(ctx context.Context, b advise.Box) (*Table, error) {
	next := t.box
	next.Box = b
	return try(ctx, next, t)
}

func try(ctx context.Context, b Box, known *Table) (*Table, error) {
	t := &Table{box: b}
	if err := t.layOut(); err != nil {
		return nil, err
	}
	if known != nil {
		for k, bin := range known.bins {
			if k >= len(t.bins) || len(bin) > len(t.bins[k]) || !slices.Equal(bin, t.bins[k][:len(bin)]) {
				return nil, fault.At("candidates", "another order of parts", "the parts that were there, and new ones behind them", fault.ErrOutOfRange)
			}
		}
	}
	if err := t.each(ctx, len(t.tried), func(i int) { t.work(i, known) }); err != nil {
		return nil, err
	}
	return t, nil
}

// each does n independent things on the workers. The error wraps the cause when ctx ends before the last.
func (t *Table) each(ctx context.Context, n int, do func(i int)) error {
	workers := t.box.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	var next atomic.Int64
	var wait sync.WaitGroup
	for range min(workers, n) {
		wait.Add(1)
		go func() {
			defer wait.Done()
			for i := int(next.Add(1)) - 1; i < n && ctx.Err() == nil; i = int(next.Add(1)) - 1 {
				do(i)
			}
		}()
	}
	wait.Wait()
	if ctx.Err() != nil {
		return fmt.Errorf("pair: stopped: %w", context.Cause(ctx))
	}
	return nil
}

// layOut finds the bins and the clockings.
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
	if n := len(t.box.Places); n < 1 || n > 3 {
		return fault.At("places", fmt.Sprint(n), "one to three places with candidates", fault.ErrOutOfRange)
	}
	n := 1
	for i, place := range t.box.Places {
		if slices.Contains(t.box.Places[:i], place) {
			return fault.At("places", fmt.Sprintf("%q", place), "each place once", fault.ErrRepeated)
		}
		c := candidates(s, place)
		if c == nil {
			return fault.At("places", fmt.Sprintf("%q", place), "a place of the stack that has candidates", fault.ErrUnknownName)
		}
		bin := []string{place + " (in place)"}
		for _, p := range c.Parts {
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
	return t.compareBy()
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

func candidates(s *align.Stack, place string) *align.Candidates {
	for i := range s.Candidates {
		if s.Candidates[i].Place == place {
			return &s.Candidates[i]
		}
	}
	return nil
}

// picks are the members of the bins that combination i takes.
func (t *Table) picks(i int) []int {
	out := make([]int, len(t.bins))
	for b := len(out) - 1; b >= 0; b-- {
		out[b], i = i%len(t.bins[b]), i/len(t.bins[b])
	}
	return out
}

// index is the combination that takes these members.
func (t *Table) index(picks []int) int {
	i := 0
	for b, p := range picks {
		i = i*len(t.bins[b]) + p
	}
	return i
}

// work sets the worth of a combination, at the best of its clockings.
func (t *Table) work(i int, known *Table) {
	picks := t.picks(i)
	if known != nil {
		old := true
		for b, p := range picks {
			old = old && p < len(known.bins[b])
		}
		if old {
			t.tried[i] = known.tried[known.index(picks)]
			return
		}
	}
	s, err := t.put(picks)
	if err != nil {
		t.tried[i] = worth{math.NaN(), 0, err.Error()}
		return
	}
	for k, way := range t.turns {
		w := t.worth(s, way)
		w.way = k
		if k == 0 || w.better(t.tried[i]) {
			t.tried[i] = w
		}
	}
}

// put is the stack of a combination, its candidates dropped.
func (t *Table) put(picks []int) (align.Stack, error) {
	s := t.box.Stack
	all := s.Candidates
	var err error
	for b, p := range picks {
		if p == 0 {
			continue
		}
		place := t.box.Places[b]
		for k := range all {
			if all[k].Place == place {
				s.Candidates = []align.Candidates{{Place: place, Parts: all[k].Parts[p-1 : p]}}
			}
		}
		if s, err = s.WithCandidate(place, 0); err != nil {
			return s, err
		}
	}
	s.Candidates = nil
	return s, nil
}

// worth holds one box against the limits without the gauge.
func (t *Table) worth(s align.Stack, way []advise.Correction) worth {
	s, err := turned(s, way)
	if err != nil {
		return worth{left: math.NaN(), fails: err.Error()}
	}
	w := worth{left: math.NaN()}
	for _, state := range statesOf(t.box.Limits) {
		in, asked := s, []align.Output{t.of}
		if state != "" {
			if in, err = s.InState(state); err != nil {
				return worth{left: math.NaN(), fails: err.Error()}
			}
		}
		var held []record.Limit
		for _, l := range t.box.Limits {
			if l.State == state {
				held, asked = append(held, l), append(asked, l.Output)
			}
		}
		in.States = nil
		ranges, assembles, err := in.Ranges(asked)
		if err != nil {
			return worth{left: math.NaN(), fails: err.Error()}
		}
		if state == "" {
			w.left = t.leftOf(ranges[0])
		}
		if !assembles && w.fails == "" {
			w.fails = "it does not assemble"
		}
		for k, l := range held {
			if w.fails == "" && breaks(l, ranges[k+1]) {
				w.fails = said(l)
			}
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
func (t *Table) leftOf(r align.Range) float64 {
	if t.of.What == align.Margin {
		return r.Low.Or(math.NaN())
	}
	left := math.Inf(1)
	for _, l := range t.box.Limits {
		if l.Output != t.of || l.State != "" {
			continue
		}
		if l.Least.Given {
			left = min(left, low(l, r)-l.Least.Value)
		}
		if l.Greatest.Given {
			left = min(left, l.Greatest.Value-high(l, r))
		}
	}
	return left
}

func low(l record.Limit, r align.Range) float64 {
	if l.AtRest || !r.Low.Given {
		return r.Rest.Or(math.NaN())
	}
	return r.Low.Value
}

func high(l record.Limit, r align.Range) float64 {
	if l.AtRest || !r.High.Given {
		return r.Rest.Or(math.NaN())
	}
	return r.High.Value
}

// breaks says whether the worst end is beyond a limit, or is not there; without the gauge.
func breaks(l record.Limit, r align.Range) bool {
	return l.Least.Given && !(low(l, r) >= l.Least.Value) || l.Greatest.Given && !(high(l, r) <= l.Greatest.Value)
}

// statesOf are the states that limits are judged in, as measured first.
func statesOf(limits []record.Limit) []string {
	out := []string{""}
	for _, l := range limits {
		if !slices.Contains(out, l.State) {
			out = append(out, l.State)
		}
	}
	return out
}

// said names a limit.
func said(l record.Limit) string {
	name := record.OutputKind(l.Output.What)
	if l.Output.Of != "" {
		name += " of " + l.Output.Of
	}
	if l.State != "" {
		name += ", " + l.State
	}
	return name
}
