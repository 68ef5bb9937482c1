package study

import (
	"errors"
	"math"
	"runtime"
	"sync"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// asked is an output of a box with its joints at rest (or hanging), or at one end of their float; of a margin
// perhaps only whether it holds a least one.
type asked struct {
	output align.Output
	rest   bool
	least  tolerance.Optional[float64]
}

// outcome is what one output comes to in each row: NaN where it cannot be said. fits is 1 in the rows
// in which the box assembles, 0 in those in which it does not or cannot be worked out, and NaN where
// no answer was found.
type outcome struct {
	values []float64
	fits   []float64
}

// table is one box under many deviations of its gauge. What was worked out once is kept.
type table struct {
	*box
	gauge *gauge
	first int // source of the first of its columns
	sets  map[int]rowSet
	known map[tableKey]outcome
}

// box is a stack checked and resolved once, to be worked out for one list of outputs after the other.
type box struct {
	plan    *align.Plan    // without outputs; its sources are the columns of one table after the other
	lies    [2][]align.Lie // how its joints lie, and how they do at rest
	workers []*align.Evaluator
}

// rowSet is n rows of deviations, column by column.
type rowSet struct {
	x [][]float64
	n int
}

type tableKey struct {
	batch int
	of    asked
}

// The batches of rows: nudges first, probes, and then draws; and below, the nudges of a few columns after the
// other.
const (
	nudgeBatch = iota
	probeBatch
	firstDraw

	someNudges = -1
	fewColumns = 8
)

// tablesOf checks and resolves a stack once for several gauges.
func tablesOf(s align.Stack, gauges ...*gauge) ([]*table, error) {
	var sources []align.Source
	var out []*table
	for _, g := range gauges {
		out = append(out, &table{gauge: g, first: len(sources), sets: map[int]rowSet{}, known: map[tableKey]outcome{}})
		sources = append(sources, g.sources()...)
	}
	b, err := newBox(s, sources)
	for _, t := range out {
		t.box = b
	}
	return out, err
}

func newBox(s align.Stack, sources []align.Source) (*box, error) {
	p, err := s.Compile(sources, nil, nil)
	if err != nil {
		return nil, err
	}
	b := &box{plan: p}
	for rest, of := range []align.Stack{s, atRest(s)} {
		for _, j := range of.Joints {
			b.lies[rest] = append(b.lies[rest], j.Lies)
		}
	}
	return b, nil
}

// batch is a batch's rows.
func (t *table) batch(batch int) rowSet {
	r, done := t.sets[batch]
	if done {
		return r
	}
	switch all := len(t.gauge.columns); {
	case batch == nudgeBatch:
		r = rowSet{t.gauge.nudges(0, all), 2*all + 1}
	case batch <= someNudges:
		from := fewColumns * (someNudges - batch)
		to := min(from+fewColumns, all)
		r = rowSet{t.gauge.nudges(from, to), 2*(to-from) + 1}
	case batch == probeBatch:
		r = rowSet{t.gauge.draws(probeBatch, probes, probeSpread), probes}
	default:
		at := batch - firstDraw
		n := looks[at]
		if at > 0 {
			n -= looks[at-1]
		}
		r = rowSet{t.gauge.draws(uint64(batch), n, 1), n}
	}
	t.sets[batch] = r
	return r
}

// fill works out the outputs that are not yet known in a batch, together.
func (t *table) fill(batch int, list []asked) error {
	for _, first := range list {
		var outputs []align.Output
		for _, a := range list {
			if _, known := t.known[tableKey{batch, a}]; known || a.rest != first.rest || a.least != first.least {
				continue
			}
			t.known[tableKey{batch, a}] = outcome{}
			outputs = append(outputs, a.output)
		}
		if len(outputs) == 0 {
			continue
		}
		y, err := t.rows(t.spread(t.batch(batch)), first, outputs)
		if err != nil {
			return err
		}
		for i, o := range outputs {
			t.known[tableKey{batch, asked{o, first.rest, first.least}}] = outcome{y[i], y[len(outputs)]}
		}
	}
	return nil
}

// spread lays rows of this table out as columns of the box, those of other tables zero.
func (t *table) spread(rows rowSet) rowSet {
	none := make([]float64, rows.n)
	x := make([][]float64, t.plan.Inputs())
	for c := range x {
		x[c] = none
	}
	copy(x[t.first:], rows.x)
	return rowSet{x, rows.n}
}

// get is one output in a batch.
func (t *table) get(batch int, a asked) (outcome, error) {
	if err := t.fill(batch, []asked{a}); err != nil {
		return outcome{}, err
	}
	return t.known[tableKey{batch, a}], nil
}

// rowsEach is how many rows are worth a worker of their own.
const rowsEach = 16

// rows works out outputs, and last of all whether the box assembles, as how says. A
// row that cannot be worked out does not assemble, and has no values; one for which no answer was found
// has none at all. The rows are shared out between processors, which changes no result.
func (b *box) rows(rows rowSet, how asked, outputs []align.Output) ([][]float64, error) {
	x, n := rows.x, rows.n
	outputs = append(outputs[:len(outputs):len(outputs)], align.Output{What: align.Assembles})
	lies := b.lies[0]
	if how.rest {
		lies = b.lies[1]
	}
	y := columnsOf(len(outputs), n)
	workers := max(1, min(runtime.GOMAXPROCS(0), n/rowsEach))
	for w := range workers {
		if err := b.worker(w).Ask(lies, outputs); err != nil {
			return nil, err
		}
		if how.least.Given {
			b.workers[w].Hold(how.least.Value)
		}
	}
	failed := make([]error, workers)
	var wg sync.WaitGroup
	for w := range workers {
		from, to := w*n/workers, (w+1)*n/workers
		wg.Add(1)
		go func() {
			defer wg.Done()
			failed[w] = evaluateSome(b.workers[w], slice(y, from, to), slice(x, from, to), to-from)
		}()
	}
	wg.Wait()
	return y, errors.Join(failed...)
}

// worker is the evaluator of one worker.
func (b *box) worker(w int) *align.Evaluator {
	for len(b.workers) <= w {
		b.workers = append(b.workers, b.plan.NewEvaluator())
	}
	return b.workers[w]
}

// columnsOf are n columns of so many rows, zero.
func columnsOf(n, rows int) [][]float64 {
	out := make([][]float64, n)
	for c := range out {
		out[c] = make([]float64, rows)
	}
	return out
}

func slice(x [][]float64, from, to int) [][]float64 {
	out := make([][]float64, len(x))
	for i := range x {
		out[i] = x[i][from:to]
	}
	return out
}

// evaluateSome evaluates rows in turn, and goes on after one that fails.
func evaluateSome(e *align.Evaluator, y, x [][]float64, n int) error {
	for n > 0 {
		err := e.Evaluate(y, x, n)
		if err == nil {
			return nil
		}
		var bad *fault.SampleError
		if !errors.As(err, &bad) {
			return err
		}
		for o := range y {
			y[o][bad.Index] = math.NaN()
		}
		if !errors.Is(err, fault.ErrNotConverging) {
			y[len(y)-1][bad.Index] = 0
		}
		n -= bad.Index + 1
		y, x = slice(y, bad.Index+1, bad.Index+1+n), slice(x, bad.Index+1, bad.Index+1+n)
	}
	return nil
}

// atRest is the stack with joints that may lie anywhere, or are drawn in samples, at rest.
func atRest(s align.Stack) align.Stack {
	return resting(s, func(l align.Lie) bool { return l != align.LiesHang })
}

// settled is the stack with joints that are drawn in samples at rest, as they lie elsewhere.
func settled(s align.Stack) align.Stack {
	return resting(s, func(l align.Lie) bool { return l == align.LiesUniform || l == align.LiesRim })
}

// resting is the stack with the joints at rest that lie in such a way.
func resting(s align.Stack, which func(align.Lie) bool) align.Stack {
	s.Joints = append([]align.Joint(nil), s.Joints...)
	for i := range s.Joints {
		if which(s.Joints[i].Lies) {
			s.Joints[i].Lies = align.LiesRest
		}
	}
	return s
}
