package study

import (
	"context"
	"fmt"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// Run evaluates a record, what varies in it left alone: [Vary] studies that. It returns the faults that make it impossible, or [fault.ErrNotConverging]. When ctx is done it does not begin, or stops before the next state or candidate, with an error that wraps the cause.
func Run(ctx context.Context, rec *record.Record) (*Result, error) {
	return run(ctx, rec, rec.Doubts())
}

// run is Run with the doubts that there are of the record.
func run(ctx context.Context, rec *record.Record, doubts []record.Doubt) (*Result, error) {
	if err := stopped(ctx); err != nil {
		return nil, err
	}
	stack, err := rec.Stack()
	if err != nil {
		return nil, err
	}
	out := &Result{Doubts: doubts}
	if out.Assembly, err = stack.Solve(); err != nil {
		return nil, err
	}
	for _, st := range stack.States {
		if err := stopped(ctx); err != nil {
			return nil, err
		}
		s, err := stack.InState(st.Name)
		if err != nil {
			return nil, err
		}
		a, err := s.Solve()
		if err != nil {
			return nil, fmt.Errorf("state %q: %w", st.Name, err)
		}
		out.States = append(out.States, StateResult{st.Name, a})
	}
	if out.made, err = digestOf(rec); err != nil {
		return nil, err
	}
	out.of = out.Assembly
	limits := rec.Limits()
	b := box{rec: rec}
	if out.Verdicts, err = b.verdicts(ctx, stack, limits, doubts); err != nil {
		return nil, err
	}
	out.Word = inDoubt(worst(out.Verdicts), doubts)
	for _, c := range stack.Candidates {
		for n := range c.Parts {
			if err := stopped(ctx); err != nil {
				return nil, err
			}
			r, err := candidate(ctx, rec, stack, c, n, doubts)
			if err != nil {
				return nil, fmt.Errorf("candidate %q: %w", c.Parts[n].Name, err)
			}
			out.Candidates = append(out.Candidates, r)
		}
	}
	out.Warnings, err = idle(rec, stack)
	return out, err
}

// stopped is the error of a run whose context is done.
func stopped(ctx context.Context) error {
	if ctx.Err() == nil {
		return nil
	}
	return fmt.Errorf("study: stopped: %w", context.Cause(ctx))
}

// candidate evaluates the box with one candidate in its place.
func candidate(ctx context.Context, rec *record.Record, stack align.Stack, c align.Candidates, n int, doubts []record.Doubt) (CandidateResult, error) {
	out := CandidateResult{Place: c.Place, Name: c.Parts[n].Name, Doubts: doubtsOf(rec, doubts, c.Place, n)}
	s, err := stack.WithCandidate(c.Place, n)
	if err != nil {
		return out, err
	}
	if out.Assembly, err = s.Solve(); err != nil {
		return out, err
	}
	b := box{rec: rec, swap: func(s align.Stack) (align.Stack, error) { return s.WithCandidate(c.Place, n) }}
	if out.Verdicts, err = b.verdicts(ctx, s, rec.Limits(), out.Doubts); err != nil {
		return out, err
	}
	out.Word = inDoubt(worst(out.Verdicts), out.Doubts)
	return out, nil
}

// box is one box of a record: as measured, or with a candidate in its place.
type box struct {
	rec  *record.Record
	swap func(align.Stack) (align.Stack, error) // puts the candidate in its place; nil: none
}

// in makes this box in a state from the record's stack, without candidates and states, which are judged
// by themselves.
func (b box) in(state string) func(align.Stack) (align.Stack, error) {
	return func(s align.Stack) (align.Stack, error) {
		var err error
		if b.swap != nil {
			if s, err = b.swap(s); err != nil {
				return s, err
			}
		}
		s, err = inState(s, state)
		s.Candidates, s.States = nil, nil
		return s, err
	}
}

// verdicts judges the box, and takes back what rests on a number in doubt.
func (b box) verdicts(ctx context.Context, s align.Stack, limits []record.Limit, doubts []record.Doubt) ([]Verdict, error) {
	c := court{stack: s, gauge: func(state string) (varies, error) { return sources(b.rec, "gauge", b.in(state)) }}
	out, err := c.judge(ctx, limits)
	if err != nil || len(doubts) == 0 {
		return out, err
	}
	return out, b.doubt(ctx, s, out, doubts)
}

// worst is the worst of several verdicts.
func worst(list []Verdict) tolerance.Decision {
	w := tolerance.NoLimit
	for _, v := range list {
		w = max(w, v.Word)
	}
	return w
}
