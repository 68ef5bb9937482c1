package study

import (
	"context"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// Passes reports whether [Origin.Judge] would say pass, and then its verdicts; else nil, and the parts
// that settle it: no box passes that has them with the same readings. None of them: only this box is
// known not to pass. It stops at the first limit that does not.
func (o Origin) Passes(ctx context.Context, s align.Stack, limits []record.Limit) (verdicts []Verdict, settled []string, err error) {
	if len(o.doubts()) > 0 {
		return nil, nil, nil
	}
	c := &court{stack: s, brief: true}
	out, err := o.judge(ctx, c, limits)
	if err != nil || worst(out) != tolerance.Pass {
		return nil, c.settled, err
	}
	return out, nil, nil
}

// briefly judges limits of one state until one does not pass: first whether the box goes together, then
// those judged at rest, which take a tenth of the time, and then the others.
func (c *court) briefly(bands []*judged, own []int, out []Verdict) error {
	for _, q := range bands {
		q.brief = true
	}
	refused, err := c.apart(bands)
	if err != nil || refused {
		out[own[0]].Word = tolerance.Undecided
		return err
	}
	for _, rest := range [2]bool{true, false} {
		var list []*judged
		var of []int
		for n, q := range bands {
			if q.worst.of[0].rest == rest {
				list, of = append(list, q), append(of, own[n])
			}
		}
		if err := measure(list); err != nil {
			return err
		}
		if err := probe(list); err != nil {
			return err
		}
		for n, q := range list {
			var err error
			if out[of[n]], err = q.verdict(); err != nil {
				return err
			}
			if out[of[n]].Word > tolerance.Pass {
				return c.settle(q)
			}
		}
	}
	return nil
}

// settle names the part whose readings alone, drawn alike in every box, keep a limit from passing.
func (c *court) settle(q *judged) error {
	if q.limit.Output.What != align.ThicknessVariation || !q.drawn {
		return nil
	}
	alone, err := q.settlesAlone()
	if alone {
		c.settled = []string{q.limit.Output.Of}
	}
	return err
}

// settlesAlone reports whether draws find the limit not to pass even in a box that always goes together: of
// what the readings of one part give, that holds in every box that has it.
func (q *judged) settlesAlone() (bool, error) {
	r := newJudged(q.limit, q.by, q.value)
	r.brief, r.alone = true, true
	for k, of := range q.by.known {
		if k.of == q.worst.of[0] && slices.ContainsFunc(of.values, math.IsNaN) {
			return false, nil // another box may have a number there
		}
	}
	if err := measure([]*judged{r}); err != nil {
		return false, err
	}
	word, err := r.word()
	return r.drawn && word > tolerance.Pass, err
}

// apart reports whether a joint, or the box, goes together too seldom for anything in it to pass: as
// long as it may not, every limit is decided by draws, and holds in none in which it does not.
func (c *court) apart(bands []*judged) (bool, error) {
	q := firstInside(bands)
	if q == nil {
		return false, nil
	}
	s := &c.stack
	list := make([]asked, 0, len(s.Joints)+1)
	for k := range s.Joints {
		list = append(list, asked{align.Output{What: align.Assembles, Of: s.JointName(k)}, true})
	}
	list = append(list, asked{align.Output{What: align.Assembles}, true})
	if err := q.by.fill(nudgeBatch, list); err != nil {
		return false, err
	}
	for k, a := range list {
		seldom, err := q.seldom(a)
		if err != nil {
			return false, err
		}
		if seldom {
			if k < len(s.Joints) {
				c.settled = []string{s.Parts[k].Name, s.Parts[k+1].Name}
			}
			return true, nil
		}
	}
	return false, nil
}

// firstInside is the first limit that a box must go together for, on what is folded.
func firstInside(bands []*judged) *judged {
	for _, q := range bands {
		if q.limited() && !q.askedAlone() && q.limit.Output.What != align.ThicknessVariation {
			return q
		}
	}
	return nil
}

// seldom reports whether something that a nudge decides holds in too few draws for a pass.
func (q *judged) seldom(a asked) (bool, error) {
	in, n := 0, 0
	for batch := nudgeBatch; ; batch++ {
		o, err := q.by.get(batch, a)
		if err != nil {
			return false, err
		}
		held := 0
		for _, v := range o.values {
			if v == 1 {
				held++
			}
		}
		switch {
		case batch == nudgeBatch && held == len(o.values):
			return false, nil
		case batch < firstDraw:
			continue
		}
		in, n = in+held, n+len(o.values)
		if a := enough(in, n, batch-firstDraw); a != open {
			return a == no, nil
		}
	}
}
