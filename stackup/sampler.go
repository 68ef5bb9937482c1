package stackup

import (
	"context"
	"errors"
	"fmt"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/internal/num"
	"example.com/borestack/stackup/law"
)

// BatchSize is how many samples are drawn and evaluated at once: enough to amortise a call, few enough to stay in
// the first cache.
const BatchSize = 256

// Sampler is what a method of sampling works with in one goroutine: the columns of one batch of a study's samples,
// the draws that fill them, and the model between. It is made by [NewSampler] or [NewNormalSampler].
type Sampler struct {
	X, Y [][]float64 // the model's inputs and outputs, BatchSize rows each
	Z    [][]float64 // the normal numbers that the inputs are made of; nil by NewSampler

	ctx       context.Context
	study     *Study
	evaluator *guarded
	places    []place
	key       string // of the streams, behind the inputs' names
	names     []string
	streams   []law.Stream
}

// NewSampler draws inputs by their laws.
func NewSampler(ctx context.Context, s *Study) *Sampler {
	w := &Sampler{
		X: num.Columns(s.Model.Inputs(), BatchSize), Y: num.Columns(s.Model.Outputs(), BatchSize),
		ctx: ctx, study: s, evaluator: newEvaluator(ctx, s.Model), streams: make([]law.Stream, len(s.Inputs)),
	}
	c, work := 0, make([]float64, BatchSize)
	for i := range s.Inputs {
		in := &s.Inputs[i]
		w.names = append(w.names, in.Name)
		w.places = append(w.places, place{input: in, law: in.joint(), column: c, columns: in.Columns(), work: work})
		c += in.Columns()
	}
	return w
}

// NewNormalSampler makes inputs of normal numbers as well, as far as it is known how.
func NewNormalSampler(ctx context.Context, s *Study) *Sampler {
	w := NewSampler(ctx, s)
	numbers := 0
	for i := range w.places {
		p := &w.places[i]
		p.number = numbers
		if p.of, _ = p.law.(ofNormals); p.of != nil {
			p.numbers = p.of.Numbers()
		}
		numbers += p.numbers
	}
	w.Z = num.Columns(numbers, BatchSize)
	return w
}

// Numbers are the columns of Z that input i is made of, [from, to); none: its law cannot be made of normal numbers.
func (w *Sampler) Numbers(i int) (from, to int) {
	p := &w.places[i]
	return p.number, p.number + p.numbers
}

// Columns are the columns of X that input i has, [from, to).
func (w *Sampler) columns(i int) (from, to int) {
	p := &w.places[i]
	return p.column, p.column + p.columns
}

// Begin opens the streams of a block: one for each input, keyed by the seed, its name followed by key, and the block.
func (w *Sampler) Begin(key string, seed uint64, block int) {
	if key != w.key {
		w.key = key
		for i := range w.names {
			w.names[i] = w.study.Inputs[i].Name + key
		}
	}
	for i := range w.streams {
		w.streams[i] = law.NewStream(seed, w.names[i], uint64(block))
	}
}

// Stream is that of input i.
func (w *Sampler) Stream(i int) *law.Stream { return &w.streams[i] }

// draw fills X with the next samples by the inputs' laws: always a whole batch, so that a block's draws do not
// depend on how many samples are asked for.
func (w *Sampler) draw() {
	for i := range w.places {
		w.DrawInput(i, BatchSize)
	}
}

// DrawInput fills the first n rows of input i's columns by its law.
func (w *Sampler) DrawInput(i, n int) { w.places[i].draw(w.X, &w.streams[i], n) }

// Normals fills Z with the next normal numbers, and the columns of inputs that cannot be made of them by their laws.
func (w *Sampler) Normals() {
	for i := range w.places {
		p := &w.places[i]
		if p.of == nil {
			w.DrawInput(i, BatchSize)
			continue
		}
		for c := p.number; c < p.number+p.numbers; c++ {
			w.streams[i].Normals(w.Z[c])
		}
	}
}

// AtMeans sets the columns of inputs that cannot be made of normal numbers to their means.
func (w *Sampler) AtMeans() {
	for i := range w.places {
		p := &w.places[i]
		if p.of != nil {
			continue
		}
		for c := range p.columns {
			mean := p.input.Mean(c)
			for k := range w.X[p.column+c] {
				w.X[p.column+c][k] = mean
			}
		}
	}
}

// Fill makes the first n rows of X of those of Z. Columns of inputs that cannot be made of normal numbers are left
// alone.
func (w *Sampler) Fill(n int) {
	for i := range w.places {
		w.places[i].fill(w.X, w.Z, n)
	}
}

// FillUniform makes the first n rows of input i of numbers between 0 and 1 in its columns of Z, whose rows it uses
// up. They must not be 0 or 1.
func (w *Sampler) FillUniform(i, n int) { w.places[i].fillUniform(w.X, w.Z, n) }

// Batches works out the samples from, up to to, a batch at a time: draw fills X for the n samples from number at on,
// the model is evaluated, and visit takes what came of them. Errors of samples are completed by their numbers and
// deviations.
func (w *Sampler) Batches(from, to int, draw func(at, n int), visit func(at, n int) error) error {
	for at := from; at < to; at += BatchSize {
		n := min(BatchSize, to-at)
		draw(at, n)
		err := w.evaluator.Evaluate(w.Y, w.X, n)
		if err == nil {
			err = visit(at, n)
		}
		if err != nil {
			return blame(err, w.X, at)
		}
	}
	return nil
}

// block works out the samples of a block of a run of so many samples, by the inputs' laws.
func (w *Sampler) block(key string, seed uint64, block, samples int, visit func(at, n int) error) error {
	w.Begin(key, seed, block)
	return w.Batches(block*BlockSize, min((block+1)*BlockSize, samples), func(int, int) { w.draw() }, visit)
}

// Rows evaluates the first n rows of X outside a run. An error says what for, a panic of the model is raised as a
// [Panic], and a context that is done stops it.
func (w *Sampler) Rows(what string, n int) error {
	if err := w.Stopped(); err != nil {
		return fmt.Errorf("stackup: %s: %w", what, err)
	}
	if err := w.evaluator.Evaluate(w.Y, w.X, n); err != nil {
		return raise(fmt.Errorf("stackup: %s: %w", what, blame(err, w.X, 0)), false)
	}
	return nil
}

// Stopped is an error once ctx is done; a part of [Blocks] that returns it counts as not done. Parts that are longer
// than a block ask now and then.
func (w *Sampler) Stopped() error {
	if w.ctx.Err() != nil {
		return &stopped{context.Cause(w.ctx)}
	}
	return nil
}

// stopped is what a part that heeds the context in its midst returns.
type stopped struct{ cause error }

func (e *stopped) Error() string { return "stopped: " + e.cause.Error() }

func (e *stopped) Unwrap() error { return e.cause }

// blame completes the error of a sample whose index counts from first.
func blame(err error, x [][]float64, first int) error {
	var e *fault.SampleError
	if !errors.As(err, &e) {
		return fmt.Errorf("stackup: samples from %d: %w", first, err)
	}
	out := &fault.SampleError{Index: first + e.Index, Inputs: e.Inputs, Err: e.Err}
	if out.Inputs == nil && e.Index >= 0 {
		for c := range x {
			if e.Index < len(x[c]) {
				out.Inputs = append(out.Inputs, x[c][e.Index])
			}
		}
	}
	return out
}
