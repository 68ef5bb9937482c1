package study

import (
	"context"
	"fmt"
	"strconv"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// maxCandidates is how many candidates are judged one by one, each in the box as it is; more are bins to
// pair, and would take minutes here.
const maxCandidates = 100

// Run evaluates a record, what varies in it left alone: [Vary] studies that. It returns the faults
// that make it impossible, an error that wraps [fault.ErrTooMany] for more than 100 candidates, or
// [fault.ErrNotConverging]. When ctx is done it does not begin, or
// stops before the next state or candidate, with an error that wraps the cause.
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
	total := 0
	for _, c := range stack.Candidates {
		total += len(c.Parts)
	}
	if total > maxCandidates {
		return nil, fault.At("/candidates", strconv.Itoa(total), fmt.Sprintf("at most %d to judge each: pair takes bins of more", maxCandidates), fault.ErrTooMany)
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
	o := originOf(rec, doubts)
	if out.Verdicts, out.Word, err = o.Judge(ctx, stack, rec.Limits()); err != nil {
		return nil, err
	}
	for _, c := range stack.Candidates {
		for n := range c.Parts {
			if err := stopped(ctx); err != nil {
				return nil, err
			}
			r, err := candidate(ctx, o.With(c.Place, n), stack, c, n)
			if err != nil {
				return nil, fmt.Errorf("candidate %q: %w", c.Parts[n].Name, err)
			}
			out.Candidates = append(out.Candidates, r)
		}
	}
	out.Warnings, err = idle(o, stack)
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
func candidate(ctx context.Context, o Origin, stack align.Stack, c align.Candidates, n int) (CandidateResult, error) {
	out := CandidateResult{Place: c.Place, Name: c.Parts[n].Name, Doubts: o.doubts()}
	s, err := stack.WithCandidate(c.Place, n)
	if err != nil {
		return out, err
	}
	if out.Assembly, err = s.Solve(); err != nil {
		return out, err
	}
	out.Verdicts, out.Word, err = o.Judge(ctx, s, o.rec.Limits())
	return out, err
}

// worst is the worst of several verdicts.
func worst(list []Verdict) tolerance.Decision {
	w := tolerance.NoLimit
	for _, v := range list {
		w = max(w, v.Word)
	}
	return w
}
