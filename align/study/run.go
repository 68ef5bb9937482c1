package study

import (
	"context"
	"fmt"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
)

// Run evaluates a record, what varies in it left alone: [Vary] studies that. It returns the faults that make it impossible, or [align.ErrNotConverging]. When ctx is done it does not begin, or stops before the next state or candidate, with an error that wraps the cause.
func Run(ctx context.Context, rec *record.Record) (*Result, error) {
	if err := stopped(ctx); err != nil {
		return nil, err
	}
	stack, err := rec.Stack()
	if err != nil {
		return nil, err
	}
	out := &Result{}
	if out.Assembly, err = stack.Solve(); err != nil {
		return nil, err
	}
	states := map[string]align.Stack{"": stack}
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
		states[st.Name] = s
		out.States = append(out.States, StateResult{st.Name, a})
	}
	if out.made, err = digestOf(rec); err != nil {
		return nil, err
	}
	out.of = out.Assembly
	limits := rec.Limits()
	if out.Verdicts, err = judgeAll(rec, states, limits); err != nil {
		return nil, err
	}
	out.Word = worst(out.Verdicts)
	for _, c := range stack.Candidates {
		for n := range c.Parts {
			if err := stopped(ctx); err != nil {
				return nil, err
			}
			r, err := candidate(rec, stack, c.Place, n, limits)
			if err != nil {
				return nil, fmt.Errorf("candidate %q: %w", c.Parts[n].Name, err)
			}
			out.Candidates = append(out.Candidates, r)
		}
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
func candidate(rec *record.Record, stack align.Stack, place string, n int, limits []record.Limit) (CandidateResult, error) {
	out := CandidateResult{Place: place}
	for _, c := range stack.Candidates {
		if c.Place == place {
			out.Name = c.Parts[n].Name
		}
	}
	s, err := stack.WithCandidate(place, n)
	if err != nil {
		return out, err
	}
	if out.Assembly, err = s.Solve(); err != nil {
		return out, err
	}
	states := map[string]align.Stack{"": s}
	for _, l := range limits {
		if _, done := states[l.State]; done {
			continue
		}
		if states[l.State], err = s.InState(l.State); err != nil {
			return out, err
		}
	}
	if out.Verdicts, err = judgeAll(rec, states, limits); err != nil {
		return out, err
	}
	out.Word = worst(out.Verdicts)
	return out, nil
}

// worst is the worst of several verdicts.
func worst(list []Verdict) Word {
	w := NoLimit
	for _, v := range list {
		w = max(w, v.Word)
	}
	return w
}
