package align

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Plan is a stack compiled to be evaluated many times: outputs as a function of the deviations of
// sources. It never changes and may be shared; each goroutine takes its own [Plan.NewEvaluator].
type Plan struct {
	stack   Stack
	lay     *layout
	sources []string // their names, in order
	moved   []moved  // what they move
	outputs []Output
	drawn   []int // joints whose float is drawn, each from [FloatColumns] further columns
}

// Compile prepares the outputs out as a function of the deviations of the sources in. lies says how
// each joint lies in every sample; nil takes what the stack says. Where a joint may lie anywhere,
// each sample gives the worst over its float (the least margin, the greatest of everything else),
// or the best where an output asks for it.
//
// Each joint that lies [LiesUniform] or [LiesRim] takes [FloatColumns] further columns after the
// sources, in order: the numbers that its float is drawn from. [Plan.Drawn] lists them.
//
// It keeps nothing of what it is given: a change to sources or outputs afterwards does not reach
// the plan. It returns every fault of the stack, or else of sources and outputs, joined; of sources
// each is a [fault.FieldError] at a path such as "/sources/2/moves/0".
func (s Stack) Compile(in []Source, lies []Lie, out []Output) (*Plan, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	p := &Plan{stack: s.Clone(), outputs: slices.Clone(out)}
	for i := range in {
		p.sources = append(p.sources, in[i].Name)
	}
	p.lay = newLayout(&p.stack)
	if err := lay(p.stack.Joints, lies); err != nil {
		return nil, err
	}
	c := &checker{}
	p.moved = resolveMoves(p.stack, in, c)
	_, wrong := (&kernel{stack: p.stack, lay: p.lay}).resolveAll(out)
	if wrong = append(c.faults, wrong...); len(wrong) > 0 {
		return nil, errors.Join(wrong...)
	}
	p.drawn = drawnOf(p.stack.Joints)
	return p, nil
}

// lay makes joints lie so; nil: as they do.
func lay(joints []Joint, lies []Lie) error {
	if lies != nil && len(lies) != len(joints) {
		return &fault.FieldError{Path: "/joints", Value: fmt.Sprintf("%d ways to lie", len(lies)), Want: fmt.Sprintf("one for each of %d joints", len(joints)), Err: fault.ErrConflict}
	}
	for i, l := range lies { // nothing is laid where one is at fault
		if l > LiesRim {
			return &fault.FieldError{Path: fmt.Sprintf("/joints/%d/lies", i), Value: fmt.Sprint(uint8(l)), Want: "one of the ways to lie", Err: fault.ErrOutOfRange}
		}
	}
	for i, l := range lies {
		joints[i].Lies = l
	}
	return nil
}

// drawnOf lists the joints whose float is drawn.
func drawnOf(joints []Joint) (list []int) {
	for i := range joints {
		if j := &joints[i]; j.Float == nil && (j.Lies == LiesUniform || j.Lies == LiesRim) {
			list = append(list, i)
		}
	}
	return list
}

// FloatColumns is how many numbers from 0 to 1 a joint's float is drawn from. Where they are
// uniform and independent, the float is drawn by its distribution, and follows them: near numbers
// give near floats wherever the float is that of two features, a register or a pin each, or of one;
// and where it lies on a rim by the first. Where the second is -1 the float is drawn from the first
// alone, by the same distribution and several times as fast, but near numbers give floats as far
// apart as any.
const FloatColumns = 3

// Inputs is how many columns a sample has: one a source, and [FloatColumns] for each joint whose
// float is drawn.
func (p *Plan) Inputs() int { return len(p.sources) + FloatColumns*len(p.drawn) }

// Sources are the names of the sources, in the order of their columns. Several columns of one name
// are what one source with several components moves.
func (p *Plan) Sources() []string { return slices.Clone(p.sources) }

// Asked lists the outputs, in order.
func (p *Plan) Asked() []Output { return slices.Clone(p.outputs) }

// JointName is the name of a joint of the plan's stack, or "front part|rear part".
func (p *Plan) JointName(k int) string { return p.stack.JointName(k) }

// Drawn lists the joints whose float is drawn, in the order of their [FloatColumns].
func (p *Plan) Drawn() []int { return append([]int(nil), p.drawn...) }

// Outputs is how many outputs the plan has.
func (p *Plan) Outputs() int { return len(p.outputs) }

// Evaluator evaluates a plan, in memory of its own; for one goroutine. Nothing is carried from one
// sample to the next that could change a result.
type Evaluator struct {
	k       *kernel
	over    *over
	outputs []outputAt
	slots   []slot
	drawn   []int
	first   int      // column of the first drawn float
	columns *columns // nil: every sample goes to the kernel
	able    bool     // the box can be worked out without deviations
	held    tolerance.Optional[float64]
}

// NewEvaluator returns an evaluator for one goroutine.
func (p *Plan) NewEvaluator() *Evaluator {
	e := &Evaluator{k: newKernel(p.stack, p.lay), first: len(p.sources)}
	if len(p.moved) > 0 {
		numbers := numbersOf(&e.k.stack)
		for _, m := range p.moved {
			n := numbers[m.number]
			e.slots = append(e.slots, slot{n, n.Float(), m.terms})
		}
	}
	e.able = e.k.findStill(e.slots) == nil // a box that is not says so in every sample
	_ = e.Ask(nil, p.outputs)              // Compile has checked it
	return e
}

// Ask has the evaluator work out other outputs from now on, with the joints lying so, as
// [Stack.Compile] has it; nil: as they do. It leaves the evaluator as it was where there is a fault.
func (e *Evaluator) Ask(lies []Lie, out []Output) error {
	k := e.k
	e.held = tolerance.Optional[float64]{}
	outputs, wrong := k.resolveAll(out)
	if len(wrong) > 0 {
		return errors.Join(wrong...)
	}
	e.back()
	same := e.columns != nil && slices.Equal(outputs, e.outputs)
	for i := range lies {
		same = same && i < len(k.stack.Joints) && k.stack.Joints[i].Lies == lies[i]
	}
	if err := lay(k.stack.Joints, lies); err != nil || same {
		return err
	}
	e.outputs, e.columns, e.drawn, k.pick = outputs, nil, drawnOf(k.stack.Joints), nil
	if len(e.drawn) > 0 {
		k.pick = make([]floatset.Numbers, len(k.stack.Joints))
	}
	if e.able {
		e.columns = newColumns(k, e.slots, e.outputs, e.drawn, e.first)
	}
	return nil
}

// back takes every deviation back.
func (e *Evaluator) back() {
	for i := range e.slots {
		e.slots[i].set(0)
	}
}

// Evaluate sets dst[o][i] to output o, in its base unit, for the deviations x[·][i], for i < n. A
// use without any line is +Inf. A box that does not assemble is evaluated with every clearance
// relaxed by what it lacks; ask for [Assembles] to tell. It allocates nothing where no joint lies
// anywhere. It panics if a column is missing or shorter than n. A sample that cannot be evaluated
// is a [fault.SampleError].
func (e *Evaluator) Evaluate(dst, x [][]float64, n int) error {
	for at := 0; at < n; at += chunk {
		m := min(chunk, n-at)
		if e.columns != nil {
			e.columns.evaluate(dst, x, e.outputs, at, m)
		}
		for i := at; i < at+m; i++ {
			if e.columns != nil && !e.columns.hard[i-at] {
				continue
			}
			e.set(x, i)
			if err := e.sample(dst, i); err != nil {
				return &fault.SampleError{Index: i, Err: err}
			}
		}
	}
	return nil
}

// set moves the stack's numbers to sample i.
func (e *Evaluator) set(x [][]float64, i int) {
	for s := range e.slots {
		q := &e.slots[s]
		var d float64
		for _, t := range q.terms {
			d += t.gain * x[t.source][i]
		}
		q.set(d)
	}
	for n, joint := range e.drawn {
		for c := range FloatColumns {
			e.k.pick[joint][c] = x[e.first+FloatColumns*n+c][i]
		}
	}
}

func (e *Evaluator) sample(dst [][]float64, i int) error {
	k := e.k
	if err := k.solve(); err != nil {
		return err
	}
	if e.over == nil {
		e.over = k.newOver()
	} else {
		e.over.reset()
	}
	for o := range e.outputs {
		r := &e.outputs[o]
		want := highEnd
		if (r.What == Margin) != r.Best {
			want = lowEnd
		}
		v, err := e.end(r, want)
		if err != nil {
			return err
		}
		if math.IsNaN(v) {
			return fmt.Errorf("output %d is not a number: %w", o, fault.ErrNotConverging)
		}
		dst[o][i] = v
	}
	return nil
}

// end is one end of an output over the floats.
func (e *Evaluator) end(r *outputAt, want end) (float64, error) {
	if e.held.Given && r.What == Margin && want == lowEnd && len(e.over.loose) > 0 {
		return e.over.marginHeld(e.held.Value)
	}
	lo, hi, err := e.over.ends(r, want)
	if want == lowEnd {
		hi = lo
	}
	return hi, err
}

// Hold has the least margin over the float worked out, until the next [Evaluator.Ask], only as far as it
// takes to say whether it is at least that: what is set is on the same side of least, and may be anything
// there.
func (e *Evaluator) Hold(least float64) { e.held = tolerance.Given(least) }

// Explain replays one sample in full: the deviations x, one a source, worked out to an assembly.
func (e *Evaluator) Explain(dst *Assembly, x []float64) error {
	columns := make([][]float64, len(x))
	for i := range x {
		columns[i] = x[i : i+1]
	}
	e.set(columns, 0)
	s := e.k.stack
	if len(e.drawn) > 0 { // lie where they were drawn
		if err := e.k.solve(); err != nil {
			return err
		}
		s = s.Clone()
		for _, i := range e.drawn {
			at := e.k.seats[i].at
			s.Joints[i].Float = &Float{tolerance.Length(at.X), tolerance.Length(at.Y), tolerance.Angle(-at.G)}
		}
	}
	a, err := s.Solve()
	if err != nil {
		return err
	}
	*dst = *a
	return nil
}

// Ranges works out several outputs of one box at rest and over the float, and whether every joint
// assembles.
func (s Stack) Ranges(out []Output) (ranges []Range, assembles bool, err error) {
	if err := s.Validate(); err != nil {
		return nil, false, err
	}
	k, err := workOut(s)
	if err != nil {
		return nil, false, err
	}
	return k.newOver().ranges(out)
}

// Ranges is [Stack.Ranges] of the plan's box without deviations.
func (e *Evaluator) Ranges(out []Output) (ranges []Range, assembles bool, err error) {
	e.back()
	pick := e.k.pick
	defer func() { e.k.pick = pick }()
	e.k.pick = nil // where it lies outside samples
	if err := e.k.solve(); err != nil {
		return nil, false, err
	}
	return e.k.newOver().ranges(out)
}

// ranges works out several outputs of the kernel's box.
func (o *over) ranges(out []Output) (ranges []Range, assembles bool, err error) {
	assembles = true
	for _, q := range o.k.seats {
		assembles = assembles && q.set.Lack == 0
	}
	for i := range out {
		r, err := o.rangeOf(out[i])
		if err != nil {
			return nil, false, err
		}
		ranges = append(ranges, r)
	}
	return ranges, assembles, nil
}
