package advise

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/internal/rules"
	"example.com/borestack/tolerance"
)

// Box is what a question is about: a measured stack, and the limits that it is held against, in base units. The zero value is a stack without parts, which is refused.
type Box struct {
	Stack  align.Stack
	Limits []record.Limit

	// Origin is the record that the stack comes from: what it says that cannot be relied on keeps every judgement from a pass, and what varies because of the gauge widens the guard bands. The zero value is none.
	Origin study.Origin
}

// FromRecord takes the stack and the limits of a record, and what else it says of them.
func FromRecord(rec *record.Record) (Box, error) {
	s, err := rec.Stack()
	if err != nil {
		return Box{}, err
	}
	return Box{s, rec.Limits(), study.OriginOf(rec)}, nil
}

// Judgement is a box held against its limits. The zero value is an empty result.
type Judgement struct {
	Assembly *align.Assembly    // the joints at rest where they may lie anywhere; ranges are in Verdicts and Margin
	Verdicts []study.Verdict    // one a limit, in order
	Margin   *study.Verdict     // the margin of the shaft line over the float, held against no limit; nil without shafts
	Word     tolerance.Decision // the worst of all; undecided instead of pass or depends while the box's record leaves something in doubt
}

// WorstMargin is the margin at the worst float, and whether there is a shaft line.
func (j *Judgement) WorstMargin() (tolerance.Length, bool) {
	if j.Margin == nil {
		return 0, false
	}
	worst := worstOf(j.Margin)
	return tolerance.Length(worst.Value), worst.Given
}

// Judge runs the whole model on the box in every state that a limit names. The verdicts are those of [study.Run], doubts included. When ctx ends it stops before the next state, with an error that wraps the cause.
func (b Box) Judge(ctx context.Context) (*Judgement, error) { return b.judge(ctx, nil) }

// stopped is the error of a question whose context has ended.
func stopped(ctx context.Context) error {
	if ctx.Err() == nil {
		return nil
	}
	return fmt.Errorf("advise: stopped: %w", context.Cause(ctx))
}

// judge is Judge with more uncertainty: each of varied is the stack with one amount of what was made of it a standard uncertainty off.
func (b Box) judge(ctx context.Context, varied []align.Stack) (*Judgement, error) {
	if err := stopped(ctx); err != nil {
		return nil, err
	}
	a, err := atRest(b.Stack).Solve()
	if err != nil {
		return nil, err
	}
	limits := b.Limits
	line := len(b.Stack.Shafts) > 0
	if line {
		limits = append([]record.Limit{{Output: align.Output{What: align.Margin}}}, limits...)
	}
	out := &Judgement{Assembly: a}
	if out.Verdicts, out.Word, err = b.Origin.Judge(ctx, b.Stack, limits, varied...); err != nil {
		return nil, err
	}
	if line {
		out.Margin, out.Verdicts = &out.Verdicts[0], out.Verdicts[1:]
	}
	return out, nil
}

// atRest is the stack with every joint that may lie anywhere taken to rest: the float costs a hundred times what the box at rest does.
func atRest(s align.Stack) align.Stack {
	s.Joints = slices.Clone(s.Joints)
	for i := range s.Joints {
		if j := &s.Joints[i]; j.Lies == align.LiesAny {
			j.Lies = align.LiesRest
		}
	}
	return s
}

// placed is where the parts of a stack lie at rest, which does not ask for shafts: these cost a hundred times as much.
func placed(s align.Stack) (*align.Assembly, error) {
	return atRest(align.Stack{Parts: s.Parts, Joints: s.Joints}).Solve()
}

// Error classes of this package, for errors.Is; faults of a stack wrap those of package align.
var (
	ErrNoThickness = errors.New("no least thickness stated")
	ErrNotPossible = errors.New("not possible")
	ErrNotValid    = errors.New("reading not valid, measure again")
)

// finite notes a length that is no number or out of range.
func finite(wrong *rules.List, path string, v, least tolerance.Length) {
	if wrong.Need(ieee.Finite(v), path, float64(v), "a finite length", fault.ErrNotFinite); ieee.Finite(v) {
		wrong.Need(v >= least, path, v, "at least "+least.String(), fault.ErrOutOfRange)
		wrong.Need(v <= -farthest, path, v, "at most 100 m", fault.ErrOutOfRange)
	}
}
