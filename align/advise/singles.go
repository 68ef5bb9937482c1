package advise

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// job is a correction without its amounts, and the work of the shop that it is.
type job struct {
	Correction
	work Work
}

// jobs lists what the shop allows on a stack.
func (s Shop) jobs(stack align.Stack) (out []job) {
	if s.Swap {
		for _, k := range stack.Candidates {
			for n := range k.Parts {
				out = append(out, job{Correction: Correction{Kind: Swap, Place: k.Place, Part: n}})
			}
		}
	}
	for _, w := range s.Works {
		out = append(out, job{w.correction(), w})
	}
	if s.Push {
		out = append(out, job{Correction: Correction{Kind: Push}})
	}
	return out
}

// search looks for the amounts of a job on a stack.
type search struct {
	job
	shop  *Shop
	r     *rater
	stack align.Stack
}

// find chooses the amounts; an error says why there are none. What has no amounts is as it is.
func (q search) find() (Correction, error) {
	if find := q.Kind.trait().find; find != nil {
		return find(q)
	}
	return q.Correction, nil
}

// best is the best of n ways to set the correction; an error says why there is none.
func (q search) best(n int, set func(i int, d *Correction)) (Correction, error) {
	at := func(i int) Correction {
		d := q.Correction
		set(i, &d)
		return d
	}
	best, c := choice{rater: q.r}, q.Correction
	for i := range n {
		if d := at(i); best.take(0, func() (align.Stack, error) { return d.Apply(q.stack) }) {
			c = d
		}
	}
	if n > 0 && !best.found {
		c = at(0)
	}
	return c, q.found(best.found, c)
}

// vector is the best size, up to most, and direction of the correction; of carries it out.
func (q search) vector(most tolerance.Length, of func(Correction) (align.Stack, error)) (Correction, error) {
	size, c := q.Kind.trait().vector, q.Correction
	by, clock, ok := q.r.vector(most, q.shop.Step, q.shop.ClockStep, func(by tolerance.Length, clock tolerance.Angle) (align.Stack, error) {
		d := q.Correction
		*size(&d), d.Clock = by, clock
		return of(d)
	})
	*size(&c) = q.shop.Step
	if ok {
		*size(&c), c.Clock = by, clock
	}
	return c, q.found(ok, c)
}

// found refuses what could not be evaluated with any amount; c, one of them, says why.
func (q search) found(ok bool, c Correction) error {
	if ok {
		return nil
	}
	if t, err := c.Apply(q.stack); err != nil {
		return err
	} else if err := t.Validate(); err != nil {
		return fmt.Errorf("%s: %w: %w", c.title(), ErrNotPossible, err)
	}
	return c.impossible("no amount of it can be evaluated")
}

// apply carries a correction out on the stack.
func (q search) apply(c Correction) (align.Stack, error) { return c.Apply(q.stack) }

// clocked turns the part by every step of its pattern.
func (q search) clocked() (Correction, error) {
	return q.best(q.work.Holes-1, func(i int, d *Correction) {
		d.Turn = tolerance.Angle(2 * math.Pi * float64(i+1) / float64(q.work.Holes))
	})
}

// inStock takes the best shim in stock.
func (q search) inStock() (Correction, error) {
	return q.best(len(q.work.Sizes), func(i int, d *Correction) { d.By = q.work.Sizes[i] })
}

// stocked takes the best of the sizes in stock, in every direction.
func (q search) stocked() (Correction, error) {
	sizes := slices.DeleteFunc(slices.Clone(q.work.Sizes), func(v tolerance.Length) bool { return v <= 0 })
	turns := int(math.Round(2 * math.Pi / float64(q.shop.ClockStep)))
	return q.best(len(sizes)*turns, func(i int, d *Correction) {
		d.By, d.Clock = sizes[i/turns], tolerance.Angle(i%turns)*q.shop.ClockStep
	})
}

// moved searches the size and direction of a move.
func (q search) moved() (Correction, error) { return q.vector(q.work.Most, q.apply) }

// tapered searches the rise of a tapered shim, across the contact ring where nothing else is said.
func (q search) tapered() (Correction, error) {
	k := jointNamed(&q.stack, q.Place)
	if k < 0 {
		return q.Correction, q.unknown("a joint of the stack")
	}
	if q.Across == 0 {
		for _, f := range []*align.Face{q.stack.Parts[k].Facing(true), q.stack.Parts[k+1].Facing(false)} {
			if f != nil && f.Diameter.Given && (q.Across == 0 || f.Diameter.Value < q.Across) {
				q.Across = f.Diameter.Value
			}
		}
	}
	if q.Across == 0 {
		return q.Correction, fault.At("shim of "+q.Place, "", "the diameter across which its taper is given, or that of the contact ring", fault.ErrMissing)
	}
	return q.moved()
}

// held searches where a joint is best held to be reamed. Reaming does not move it, so that the search holds the joint alone.
func (q search) held() (Correction, error) {
	at := jointNamed(&q.stack, q.Place)
	if at < 0 {
		return q.Correction, q.unknown("a joint of the stack")
	}
	a, err := placed(q.stack)
	if err != nil {
		return q.Correction, err
	}
	j := &a.Joints[at]
	return q.vector(q.work.Most, func(d Correction) (align.Stack, error) {
		v := towards(d.By, d.Clock)
		f := j.Float
		f.X += v.X
		f.Y += v.Y
		t := q.stack
		t.Joints = slices.Clone(t.Joints)
		t.Joints[at].Float = &f
		if j.Pilot != nil { // the old holes say nothing any more
			t.Joints[at].Pins = nil
		}
		return t, d.withinPilot(&q.stack, j, at, f)
	})
}

// pushed holds every joint that can move where the shaft line has most room.
func (q search) pushed() (Correction, error) {
	c := q.Correction
	a, err := q.stack.Solve()
	if err != nil {
		return c, err
	}
	if a.Line == nil || a.Line.OverFloat == nil {
		return c, fmt.Errorf("push before tightening: nothing that the shaft line feels can move: %w", ErrNotPossible)
	}
	for k := range a.Joints {
		j := &a.Joints[k]
		if j.Lies != align.LiesAny || j.Measured {
			continue
		}
		f := j.Float
		for _, p := range a.Line.OverFloat.Push {
			if p.Joint == j.Name {
				v := towards(p.By, p.Clock) // in the box; a float is along the axes of the part in front
				d := a.Placed[k].BaseFromPart.Inverse().Rotate(r3.Vec{X: float64(v.X), Y: float64(v.Y)})
				f.X += tolerance.Length(d.X)
				f.Y += tolerance.Length(d.Y)
				f.Turn += p.Turn
				c.By = max(c.By, p.By)
			}
		}
		c.Floats = append(c.Floats, JointFloat{j.Name, f})
	}
	return c, nil
}
