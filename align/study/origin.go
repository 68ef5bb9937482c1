package study

import (
	"context"
	"slices"
	"sync"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// Origin is the record that a stack was made of, and which candidates stand in their places: what is
// known of the stack beside its numbers. What the record says that cannot be relied on, and what
// varies because of the gauge, holds for whatever is made of the stack as well, a correction carried
// out or another part put in. The zero value is no record: nothing is in doubt, and nothing varies.
//
// An Origin is never changed, and may be shared.
type Origin struct {
	rec   *record.Record
	all   []record.Doubt // of the record and its candidates
	swaps []swap

	numbers func() (*record.Numbers, error) // of the record, resolved once
}

// swap is a candidate in its place.
type swap struct {
	place string
	n     int
}

// OriginOf is the origin of a record's own stack. The record is only read.
func OriginOf(rec *record.Record) Origin { return originOf(rec, rec.Doubts()) }

// originOf is the same with the doubts that there are of the record.
func originOf(rec *record.Record, doubts []record.Doubt) Origin {
	return Origin{rec: rec, all: doubts, numbers: sync.OnceValues(func() (*record.Numbers, error) { return rec.Numbers(nil) })}
}

// With is the origin with candidate n of a place put there.
func (o Origin) With(place string, n int) Origin {
	o.swaps = append(o.swaps[:len(o.swaps):len(o.swaps)], swap{place, n})
	return o
}

// doubts are those that touch the box: of the record's own the ones that the parts put in leave, and
// those of the parts put in, each beside its neighbours, and of all beside each other.
func (o Origin) doubts() []record.Doubt { return slices.Concat(o.doubtsEach(), o.doubtsTogether()) }

// doubtsEach are those that are known before parts meet that are put in.
func (o Origin) doubtsEach() []record.Doubt {
	if len(o.swaps) == 0 {
		return o.all
	}
	return touching(o.rec, o.all, o.swaps)
}

// doubtsTogether are those of what several parts put in make of each other; they name no numbers and so touch
// everything.
func (o Origin) doubtsTogether() (out []record.Doubt) {
	if o.rec == nil || len(o.swaps) < 2 {
		return nil
	}
	together := *o.rec
	together.Parts = append([]record.Part(nil), o.rec.Parts...)
	together.Candidates = nil
	for _, w := range o.swaps {
		for i := range together.Parts {
			if p := candidateOf(o.rec, w); p != nil && together.Parts[i].Name == w.place {
				together.Parts[i] = *p
				together.Parts[i].Name = w.place
			}
		}
	}
	for _, d := range together.Doubts() {
		if under(d.Path, "/joints") || under(d.Path, "/shafts") {
			out = append(out, record.Doubt{Path: d.Path, Why: d.Why})
		}
	}
	return out
}

// candidateOf is a candidate as written; nil where the record has none such.
func candidateOf(rec *record.Record, w swap) *record.Part {
	for i := range rec.Candidates {
		if e := &rec.Candidates[i]; e.Name == w.place && w.n >= 0 && w.n < len(e.Value) {
			return &e.Value[w.n]
		}
	}
	return nil
}

// Judge holds a stack of this origin against limits: pass when the worst over the float holds beyond
// the guard band, fail when even the best does not, depends when the limit lies between the two,
// undecided when the gauge cannot tell. A box that does not assemble fails every limit. A limit on
// margin or use that names no state holds in every state of the stack; the worst governs. What the
// readings leave open comes from their stated uncertainties and closing errors, and from what the
// record says varies because of the gauge; what rests on a number in doubt does not pass. The word is
// the worst of all, undecided instead of pass or depends while a doubt stands, as [Run] has it.
//
// Each of varied is the stack with one amount of what was made of it a standard uncertainty off; that
// widens the guard bands. When ctx is done it stops before the next state.
func (o Origin) Judge(ctx context.Context, s align.Stack, limits []record.Limit, varied ...align.Stack) ([]Verdict, tolerance.Decision, error) {
	out, err := o.judge(ctx, &court{stack: s, varied: varied}, limits)
	if err != nil {
		return nil, tolerance.NoLimit, err
	}
	doubts := o.doubts()
	if len(doubts) > 0 {
		if err := o.doubt(ctx, s, out, doubts); err != nil {
			return nil, tolerance.NoLimit, err
		}
	}
	return out, inDoubt(worst(out), doubts), nil
}

// judge is the court's judgement with what varies because of the gauge.
func (o Origin) judge(ctx context.Context, c *court, limits []record.Limit) ([]Verdict, error) {
	if o.rec == nil {
		return c.judge(ctx, limits)
	}
	c.gauge = func(state string) (varies, error) {
		v, err := o.sources("gauge", state)
		if err != nil || len(v.sources) == 0 {
			return v, err
		}
		t, err := inState(c.stack, state)
		if err != nil {
			return v, err
		}
		return v.left(t), nil
	}
	return c.judge(ctx, limits)
}

// Lopsided reports whether something varies because of the gauge about another value than was measured, or
// more to one side than to the other: a box that fails as measured may pass then.
func (o Origin) Lopsided() bool {
	if o.rec == nil {
		return false
	}
	for i := range o.rec.Vary {
		v := &o.rec.Vary[i]
		if becauseOf(v) != "gauge" {
			continue
		}
		in, err := inputOf(v, o.rec.LengthUnit())
		switch {
		case err != nil:
			return true
		case in.Joint != nil:
			p, _ := in.Joint.(law.Independent)
			if in.Joint.Mean(0) != 0 || in.Joint.Mean(1) != 0 || slices.ContainsFunc(p, lopsided) {
				return true
			}
		case lopsided(in.Law):
			return true
		}
	}
	return false
}

func lopsided(l law.Law) bool {
	m := l.Moments()
	return m.Mean != 0 || m.Skewness != 0
}

// in makes this box in a state from the record's stack, with the candidates in their places, and then
// without candidates and states, which are judged by themselves.
func (o Origin) in(state string) func(align.Stack) (align.Stack, error) {
	return func(s align.Stack) (align.Stack, error) {
		candidates := s.Candidates
		for _, w := range o.swaps {
			var err error
			s.Candidates = candidates
			if s, err = s.WithCandidate(w.place, w.n); err != nil {
				return s, err
			}
		}
		return inState(s, state)
	}
}

// left is what moves a number that a stack still has: a correction may put a fixed centre where a
// sweep was.
func (v varies) left(s align.Stack) varies {
	if _, err := s.Compile(v.sources, nil, nil); err == nil {
		return v
	}
	out := varies{inputs: v.inputs}
	for _, q := range v.sources {
		kept := align.Source{Name: q.Name}
		for _, m := range q.Moves {
			if _, err := s.Compile([]align.Source{{Moves: []align.Move{m}}}, nil, nil); err == nil {
				kept.Moves = append(kept.Moves, m)
			}
		}
		out.sources = append(out.sources, kept)
	}
	return out
}
