package advise

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Option is one way to correct a box: one correction or two, the stack that it leaves, and how that is judged. The zero value is not a meaningful option.
type Option struct {
	Corrections []Correction // in the order of work; none: leave alone
	Stack       align.Stack  // with the corrections carried out
	After       *Judgement
	Effort      int      // how much work and risk, for ranking alone
	Effects     []Effect // what else changes
}

// Worse are the effects that take something from accepted, or from a milder verdict, to a worse one.
func (o *Option) Worse() []Effect {
	return slices.DeleteFunc(slices.Clone(o.Effects), func(e Effect) bool { return e.WordAfter <= e.WordBefore })
}

// Refusal is a correction that cannot be made, and why.
type Refusal struct {
	Kind  Kind
	Place string
	Err   error
}

// Advice is what can be done about a box. The zero value is empty.
type Advice struct {
	Box     Box
	Shop    Shop // as given, with what it left out filled in
	Before  *Judgement
	Options []Option // best first; leaving alone is one of them
	Refused []Refusal
	Tell    float64 // rooms closer together than this are ranked by effort: mm of margin, or a share of the limits without shafts
}

// Correct searches what the shop allows, singly and in pairs, and ranks what it finds: the mildest verdict first, then the most room, in steps of what the gauge can tell, then the least effort. Amounts are chosen with the joints at rest; every option is then judged in full, over the float, in every state that a limit names, chains and gauge uncertainty included.
//
// What cannot be done is in Refused; an error is a fault of the box or of the shop, or the context's.
func Correct(ctx context.Context, b Box, shop Shop) (*Advice, error) {
	shop, err := shop.ready()
	if err != nil {
		return nil, err
	}
	out := &Advice{Box: b, Shop: shop}
	if out.Before, err = b.Judge(ctx); err != nil {
		return nil, err
	}
	out.Tell = tell(out.Before)
	leave := Option{Stack: b.Stack, After: out.Before}
	jobs := shop.jobs(b.Stack)
	var singles []Option
	for _, w := range jobs {
		var o *Option
		c, err := out.find(ctx, w, b.Stack)
		if err == nil {
			o, err = out.Try(ctx, c)
		}
		switch {
		case ctx.Err() != nil:
			return nil, stopped(ctx)
		case err != nil:
			out.Refused = append(out.Refused, Refusal{w.Kind, w.Place, err})
		default:
			singles = append(singles, *o)
		}
	}
	out.rank(singles)
	pairs, err := out.pairs(ctx, jobs, singles)
	if err != nil {
		return nil, err
	}
	out.Options = append(append([]Option{leave}, singles...), pairs...)
	out.rank(out.Options)
	return out, nil
}

// find chooses the amounts of a job on a stack.
func (a *Advice) find(ctx context.Context, w job, s align.Stack) (Correction, error) {
	if name := a.Shop.kept(w.Correction, &s); name != "" {
		return w.Correction, w.impossible("%s must not be touched", name)
	}
	return search{w, &a.Shop, newRater(ctx, a.Box, a.Before), s}.find()
}

// Try carries corrections out exactly, in the order of work, and judges what they leave. It is the way to ask about a correction of one's own. It refuses to touch what the shop keeps, and a skim of a face for which the shop states no least thickness ([ErrNoThickness]) or that would leave the part thinner. When ctx ends the error wraps its cause.
func (a *Advice) Try(ctx context.Context, list ...Correction) (*Option, error) {
	if err := stopped(ctx); err != nil {
		return nil, err
	}
	o, err := a.carryOut(list)
	if err != nil {
		return nil, err
	}
	if o.After, err = (Box{o.Stack, a.Box.Limits, originOf(a.Box.Origin, o.Corrections)}).judge(ctx, a.varied(o.Corrections)); err != nil {
		if ctx.Err() != nil {
			return nil, stopped(ctx)
		}
		return nil, fmt.Errorf("%s: %w: %w", strings.Join(spell.Mapped(o.Corrections, Correction.title), ", then "), ErrNotPossible, err)
	}
	o.Effects = effectsOf(a.Before, o.After)
	return o, nil
}

// originOf is the origin of a corrected stack: other parts may have been put in.
func originOf(o study.Origin, list []Correction) study.Origin {
	for _, c := range list {
		if c.Kind == Swap {
			o = o.With(c.Place, c.Part)
		}
	}
	return o
}

// carryOut is Try without the judgement.
func (a *Advice) carryOut(list []Correction) (*Option, error) {
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(x, y Correction) int { return int(x.Kind) - int(y.Kind) })
	o := &Option{Corrections: list, Stack: a.Box.Stack}
	var err error
	for i, c := range list {
		if name := a.Shop.kept(c, &o.Stack); name != "" {
			return nil, c.impossible("%s must not be touched", name)
		}
		before := o.Stack
		if o.Stack, err = c.Apply(before); err != nil {
			return nil, err
		}
		if err := a.Shop.thickEnough(c, &before); err != nil {
			return nil, err
		}
		o.Effort += c.Kind.trait().effort + min(i, 1)
	}
	return o, nil
}

// varied are the stacks that corrections leave with one amount a standard uncertainty off: amounts are held within ± Within, rectangular. What cannot be done cannot go wrong that way: a pilot stops it.
//
// Source: JCGM 100:2008, 4.3.7 (rectangular).
func (a *Advice) varied(list []Correction) []align.Stack {
	var out []align.Stack
	if a.Shop.Within == 0 {
		return nil
	}
	u := a.Shop.Within / tolerance.Length(math.Sqrt(3))
	for i, c := range list {
		for _, v := range c.variants(u) {
			other := slices.Clone(list)
			other[i] = v
			if s, err := applied(a.Box.Stack, other); err == nil {
				out = append(out, s)
			}
		}
	}
	return out
}

// applied is a stack with corrections carried out, one after the other.
func applied(s align.Stack, list []Correction) (align.Stack, error) {
	for _, c := range list {
		var err error
		if s, err = c.Apply(s); err != nil {
			return s, err
		}
	}
	return s, nil
}

// pairs tries the best singles with each other work on top, and keeps the pairs that beat both.
func (a *Advice) pairs(ctx context.Context, jobs []job, singles []Option) ([]Option, error) {
	var out []Option
	for n, first := range singles[:min(len(singles), a.Shop.Pairs)] {
		c := first.Corrections[0]
		for _, w := range jobs {
			if !sensible(c, w) || alone(singles[:n], w) != nil { // a better single had this work put on top of it
				continue
			}
			if err := stopped(ctx); err != nil {
				return nil, err
			}
			second, err := a.find(ctx, w, first.Stack)
			if err != nil {
				continue
			}
			o, err := a.Try(ctx, c, second)
			if errors.Is(err, fault.ErrNotConverging) {
				return nil, err
			}
			if second := alone(singles, w); err == nil && a.beats(o, &first) && (second == nil || a.beats(o, second)) {
				out = append(out, *o)
			}
		}
	}
	return out, stopped(ctx)
}

// sensible reports whether a work goes with a correction: not the same twice, nor two ways of moving the same thing.
func sensible(c Correction, w job) bool {
	same := map[Kind]Kind{OffsetDowels: Redowel, Bush: Sleeve, SkimWedge: Skim} // ways of moving one thing
	way := func(k Kind) Kind { return cmp.Or(same[k], k) }
	if w.Kind == Swap || c.Kind == Push || c.Kind == Redowel && (w.Kind < Redowel || w.Kind == Push) {
		return false
	}
	return c.Place != w.Place || way(c.Kind) != way(w.Kind)
}

// alone is the single that a work was found as; nil where it was not possible.
func alone(singles []Option, w job) *Option {
	for i := range singles {
		if c := singles[i].Corrections[0]; c.Kind == w.Kind && c.Place == w.Place {
			return &singles[i]
		}
	}
	return nil
}

// beats reports whether o is better than p by verdict, or by more room than the gauge can tell, or leaves fewer things worse.
func (a *Advice) beats(o, p *Option) bool {
	switch x, y := o.After.Word.Rank(), p.After.Word.Rank(); {
	case x != y:
		return x < y
	case len(o.Worse()) != len(p.Worse()):
		return len(o.Worse()) < len(p.Worse())
	}
	return roomOf(o.After) > roomOf(p.After)+a.Tell
}

// Best is the first option that leaves nothing worse than it was and is better than leaving alone; nil when there is none.
func (a *Advice) Best() *Option {
	for i := range a.Options {
		o := &a.Options[i]
		if len(o.Corrections) == 0 {
			return nil
		}
		if len(o.Worse()) == 0 && o.After.Word != tolerance.Fail {
			return o
		}
	}
	return nil
}

// Simplest is the option of least effort that passes and leaves nothing worse; nil when there is none. It may be to leave alone.
func (a *Advice) Simplest() *Option {
	var out *Option
	for i := range a.Options {
		o := &a.Options[i]
		if o.After.Word == tolerance.Pass && len(o.Worse()) == 0 && (out == nil || o.Effort < out.Effort) {
			out = o
		}
	}
	return out
}
