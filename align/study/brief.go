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
	if len(o.doubtsEach()) > 0 {
		return nil, nil, nil
	}
	c := &court{stack: s, brief: true}
	out, err := o.judge(ctx, c, limits)
	if err != nil || worst(out) != tolerance.Pass {
		return nil, c.settled, err
	}
	if len(o.doubtsTogether()) > 0 {
		return nil, nil, nil
	}
	return out, nil, nil
}

// MayPass reports whether [Origin.Passes] may still pass the box once its joints are looked at, which takes a
// fifth of the time or less; where not, settled is as it is there.
func (o Origin) MayPass(ctx context.Context, s align.Stack, limits []record.Limit) (may bool, settled []string, err error) {
	if len(o.doubtsEach()) > 0 {
		return false, nil, nil
	}
	c := &court{stack: s, brief: true, joints: true}
	out, err := o.judge(ctx, c, limits)
	return err == nil && worst(out) <= tolerance.Pass, c.settled, err
}

// seats judges no more of limits of one state than whether the joints go together, where a limit asks for it on
// what is folded.
func (c *court) seats(s align.Stack, v varies, limits []record.Limit, out *Verdict) error {
	if !slices.ContainsFunc(limits, func(l record.Limit) bool {
		return (l.Least.Given || l.Greatest.Given) && l.Output.What != align.ThicknessVariation
	}) {
		return nil
	}
	t, err := tablesOf(settled(s), gaugeOf(GaugeSources(&s), v, false))
	if err != nil {
		return err
	}
	refused, err := c.apart(t[0])
	if refused {
		out.Word = tolerance.Undecided
	}
	return err
}

// briefly judges limits of one state until one does not pass: first what a few draws refuse, then those judged
// at rest, which take a tenth of the time, and then the others.
func (c *court) briefly(bands []*judged, own []int, out []Verdict) error {
	if refused, err := c.early(bands, own, out); err != nil || refused {
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
			v, err := q.verdict()
			if out[of[n]] = v; err != nil || v.Word > tolerance.Pass {
				if err == nil && q.drawn {
					err = c.settle(q)
				}
				return err
			}
		}
	}
	return nil
}

// early reports whether a few draws refuse one of the limits, whose verdict is then set.
func (c *court) early(bands []*judged, own []int, out []Verdict) (refused bool, err error) {
	for n, q := range bands {
		q.brief = true
		if refused, err = q.refused(); err != nil {
			return false, err
		}
		if refused {
			out[own[n]].Word = tolerance.Undecided
			return true, c.settle(q)
		}
	}
	return false, nil
}

// fewLooks are those of the draws that are taken before the guard band is known.
const fewLooks = 2

// refused reports whether a least margin does not pass for certain, before its guard band is known: the first
// draws would not let it, and neither does the guard band, as a few columns alone make it wide.
func (q *judged) refused() (bool, error) {
	e := &q.worst
	if q.limit.Output.What != align.Margin || e.of[0].rest || q.extra > 0 {
		return false, nil
	}
	inside := 0
	for look := range fewLooks {
		y, err := q.slacks(e, firstDraw+look)
		if err != nil {
			return false, err
		}
		for _, slack := range y {
			if holds(slack, q.bounds) {
				inside++
			}
		}
		n := looks[look]
		if enough(inside, n, look) == no {
			return q.wide()
		}
		if float64(inside) >= conforms*float64(n) {
			break
		}
	}
	return false, nil
}

// wide reports whether the guard band says no pass, or nothing, by some columns alone.
func (q *judged) wide() (bool, error) {
	var u float64
	for n := 0; n*fewColumns < len(q.by.gauge.columns); n++ {
		y, err := q.slacks(&q.worst, someNudges-n)
		if err != nil {
			return false, err
		}
		var e end
		e.measure(y)
		if u = math.Hypot(u, e.u); e.lost || !e.fits || within(e.at, u, q.bounds) != tolerance.Pass {
			return true, nil
		}
	}
	return false, nil
}

// settle finds the parts that settle that draws find a limit not to hold.
func (c *court) settle(q *judged) error {
	if o := q.limit.Output; o.What == align.ThicknessVariation {
		if alone, err := q.settlesAlone(); err != nil || alone {
			c.settled = []string{o.Of} // its readings alone, drawn alike in every box
			return err
		}
	}
	if q.askedAlone() {
		return nil
	}
	_, err := c.apart(q.by)
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

// apart reports whether a joint, or else the box, goes together too seldom for anything to pass that the box
// must go together for: where a nudge or a probe parts it, limits are decided by draws, and hold in none in
// which it does not go together. The two parts of a joint settle that; that joints do which seldom part alone,
// is known of this box only.
func (c *court) apart(t *table) (bool, error) {
	s := &c.stack
	list := make([]asked, len(s.Joints)+1)
	for k := range s.Joints {
		list[k] = asked{output: align.Output{What: align.Assembles, Of: s.JointName(k)}, rest: true}
	}
	list[len(s.Joints)] = asked{output: align.Output{What: align.Assembles}, rest: true}
	for k := range list {
		seldom, err := t.seldom(list, k)
		if seldom && k < len(s.Joints) {
			c.settled = []string{s.Parts[k].Name, s.Parts[k+1].Name}
		}
		if err != nil || seldom {
			return seldom, err
		}
	}
	return false, nil
}

// seldom reports whether one of the joints, or the box, goes together in too few draws for a pass, where a nudge or a probe
// parts it. Where it cannot be said, it may go together in another box.
func (t *table) seldom(joints []asked, which int) (bool, error) {
	in, n, parts := 0, 0, false
	for batch := nudgeBatch; ; batch++ {
		if err := t.fill(batch, joints); err != nil {
			return false, err
		}
		o := t.known[tableKey{batch, joints[which]}]
		held := 0
		for _, v := range o.values {
			if v != 0 {
				held++
			}
		}
		parts = parts || held < len(o.values)
		switch {
		case batch == probeBatch && !parts:
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
