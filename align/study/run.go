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
	if n := len(swapsOf(stack)); n > maxCandidates {
		return nil, fault.At("/candidates", strconv.Itoa(n), fmt.Sprintf("at most %d to judge each: pair takes bins of more", maxCandidates), fault.ErrTooMany)
	}
	out := &Result{Doubts: doubts}
	if out.Assembly, err = stack.Solve(); err != nil {
		return nil, err
	}
	if out.States, err = solveStates(ctx, stack); err != nil {
		return nil, err
	}
	if out.made, err = digestOf(rec); err != nil {
		return nil, err
	}
	out.of = out.Assembly
	o := originOf(rec, doubts)
	if out.Verdicts, out.Word, err = o.Judge(ctx, stack, rec.Limits()); err != nil {
		return nil, err
	}
	for _, w := range swapsOf(stack) {
		if err := stopped(ctx); err != nil {
			return nil, err
		}
		r, err := candidate(ctx, o, stack, w)
		if err != nil {
			return nil, fmt.Errorf("candidate %q: %w", r.Name, err)
		}
		out.Candidates = append(out.Candidates, r)
	}
	out.Warnings, err = idle(o, stack)
	return out, err
}

// swapsOf are all candidates of a stack, each in its place.
func swapsOf(s align.Stack) (out []swap) {
	for _, c := range s.Candidates {
		for n := range c.Parts {
			out = append(out, swap{c.Place, n})
		}
	}
	return out
}

// solveStates is the box in each of its states.
func solveStates(ctx context.Context, stack align.Stack) (out []StateResult, err error) {
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
		out = append(out, StateResult{st.Name, a})
	}
	return out, nil
}

// stopped is the error of a run whose context is done.
func stopped(ctx context.Context) error {
	if ctx.Err() == nil {
		return nil
	}
	return fmt.Errorf("study: stopped: %w", context.Cause(ctx))
}

// candidate evaluates the box with one candidate in its place.
func candidate(ctx context.Context, o Origin, stack align.Stack, w swap) (CandidateResult, error) {
	o = o.With(w.place, w.n)
	out := CandidateResult{Place: w.place, Name: candidateOf(o.rec, w).Name, Doubts: o.doubts()}
	s, err := stack.WithCandidate(w.place, w.n)
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
