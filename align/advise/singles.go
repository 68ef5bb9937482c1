package advise

import (
	"fmt"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// work is one kind of correction at one place; find chooses its amount for a stack.
type work struct {
	kind  Kind
	place string
	find  func(r *rater, s align.Stack) (Correction, error)
}

// works lists what the shop allows on a stack.
func (s Shop) works(stack align.Stack) []work {
	var out []work
	add := func(k Kind, place string, find func(*rater, align.Stack) (Correction, error)) {
		out = append(out, work{k, place, find})
	}
	if s.Swap {
		for _, c := range stack.Candidates {
			for n := range c.Parts {
				add(Swap, c.Place, func(*rater, align.Stack) (Correction, error) {
					return Correction{Kind: Swap, Place: c.Place, Part: n}, nil
				})
			}
		}
	}
	for _, p := range s.TurnOver {
		add(TurnOver, p, func(*rater, align.Stack) (Correction, error) { return Correction{Kind: TurnOver, Place: p}, nil })
	}
	for _, w := range s.Reclock {
		add(Reclock, w.Part, w.find)
	}
	for _, w := range s.Skims {
		add(Skim, w.Face, func(r *rater, b align.Stack) (Correction, error) { return w.parallel(s, r, b) })
		if w.Wedge {
			add(SkimWedge, w.Face, func(r *rater, b align.Stack) (Correction, error) { return w.wedge(s, r, b) })
		}
	}
	for _, w := range s.Bores {
		if w.Most > 0 {
			add(Sleeve, w.Bore, func(r *rater, b align.Stack) (Correction, error) {
				return moved(s, r, b, Correction{Kind: Sleeve, Place: w.Bore, Across: w.Wall}, w.Most)
			})
		}
		if len(w.Offsets) > 0 {
			add(Bush, w.Bore, func(r *rater, b align.Stack) (Correction, error) {
				return stocked(s, r, b, Correction{Kind: Bush, Place: w.Bore}, w.Offsets)
			})
		}
	}
	for _, w := range s.Shims {
		if len(w.Thicknesses) > 0 {
			add(Shim, w.Joint, w.parallel)
		}
		if w.MostTaper > 0 {
			add(TaperShim, w.Joint, func(r *rater, b align.Stack) (Correction, error) { return w.taper(s, r, b) })
		}
	}
	for _, w := range s.Dowels {
		add(OffsetDowels, w.Joint, func(r *rater, b align.Stack) (Correction, error) {
			return stocked(s, r, b, Correction{Kind: OffsetDowels, Place: w.Joint}, w.Steps)
		})
	}
	for _, w := range s.Redowel {
		add(Redowel, w.Joint, func(r *rater, b align.Stack) (Correction, error) { return w.find(s, r, b) })
	}
	if s.Push {
		add(Push, "", pushed)
	}
	return out
}

// find searches where the joint is best held. Reaming does not move it, so that the search holds the joint alone.
func (w RedowelWork) find(s Shop, r *rater, b align.Stack) (Correction, error) {
	c := Correction{Kind: Redowel, Place: w.Joint, Across: w.Pin}
	var at int
	if err := c.onJoint(&b, func(k int) error { at = k; return nil }); err != nil {
		return c, err
	}
	a, err := atRest(b).Solve()
	if err != nil {
		return c, err
	}
	by, clock, ok := r.vector(w.Most, s.Step, s.ClockStep, func(by tolerance.Length, clock tolerance.Angle) (align.Stack, error) {
		f := a.Joints[at].Float
		v := towards(by, clock)
		f.X += v.X
		f.Y += v.Y
		t := b
		t.Joints = slices.Clone(b.Joints)
		t.Joints[at].Float = &f
		t.Joints[at].Pins = nil // the old holes say nothing any more
		if a.Joints[at].Pilot == nil {
			t.Joints[at].Pins = b.Joints[at].Pins
		}
		return t, c.withinPilot(&b, &a.Joints[at], at, f)
	})
	if !ok {
		c.By = s.Step
		return c, nothing(c, b)
	}
	c.By, c.Clock = by, clock
	return c, nil
}

// nothing is the refusal when no amount could be evaluated; try says why.
func nothing(c Correction, s align.Stack) error {
	if t, err := c.Apply(s); err != nil {
		return err
	} else if err := t.Validate(); err != nil {
		return fmt.Errorf("%s of %s: %w: %w", c.Kind, c.Place, ErrNotPossible, err)
	}
	return c.impossible("no amount of it can be evaluated")
}

// moved searches the move of a correction up to most.
func moved(s Shop, r *rater, b align.Stack, c Correction, most tolerance.Length) (Correction, error) {
	by, clock, ok := r.vector(most, s.Step, s.ClockStep, func(by tolerance.Length, clock tolerance.Angle) (align.Stack, error) {
		d := c
		d.By, d.Clock = by, clock
		return d.Apply(b)
	})
	if !ok {
		c.By = s.Step
		return c, nothing(c, b)
	}
	c.By, c.Clock = by, clock
	return c, nil
}

// stocked searches the best of the sizes in stock, in every direction.
func stocked(s Shop, r *rater, b align.Stack, c Correction, sizes []tolerance.Length) (Correction, error) {
	var best Correction
	var top rating
	found := false
	for _, by := range sizes {
		if by <= 0 {
			continue
		}
		d := c
		d.By = by
		_, d.Clock, _ = r.vector(1, 1, s.ClockStep, func(_ tolerance.Length, clock tolerance.Angle) (align.Stack, error) {
			e := d
			e.Clock = clock
			return e.Apply(b)
		})
		t, err := d.Apply(b)
		if err != nil {
			return c, err
		}
		if got, ok := r.rate(t); ok && (!found || got.better(top)) {
			best, top, found = d, got, true
		}
	}
	if !found {
		return c, nothing(c, b)
	}
	return best, nil
}

// find turns the part by every step of its pattern.
func (w ReclockWork) find(r *rater, b align.Stack) (Correction, error) {
	at := func(i int) Correction {
		return Correction{Kind: Reclock, Place: w.Part, Redrill: w.Redrill, Turn: tolerance.Angle(2 * math.Pi * float64(i+1) / float64(w.Holes))}
	}
	i, ok := r.pick(w.Holes-1, func(i int) (align.Stack, error) { return at(i).Apply(b) })
	if !ok {
		return at(0), nothing(at(0), b)
	}
	return at(i), nil
}

// parallel takes the best shim in stock.
func (w ShimWork) parallel(r *rater, b align.Stack) (Correction, error) {
	at := func(i int) Correction {
		return Correction{Kind: Shim, Place: w.Joint, By: w.Thicknesses[i], Replace: w.Replace}
	}
	i, ok := r.pick(len(w.Thicknesses), func(i int) (align.Stack, error) { return at(i).Apply(b) })
	if !ok {
		return at(0), nothing(at(0), b)
	}
	return at(i), nil
}

// taper searches the rise of a tapered shim.
func (w ShimWork) taper(s Shop, r *rater, b align.Stack) (Correction, error) {
	c := Correction{Kind: TaperShim, Place: w.Joint, By: w.Thin, Across: w.Across, Replace: w.Replace}
	if c.Across == 0 {
		err := c.onJoint(&b, func(k int) error {
			for _, f := range []*align.Face{mountedFace(&b.Parts[k], true), mountedFace(&b.Parts[k+1], false)} {
				if f != nil && f.Diameter.Given && (c.Across == 0 || f.Diameter.Value < c.Across) {
					c.Across = f.Diameter.Value
				}
			}
			return nil
		})
		if err != nil {
			return c, err
		}
	}
	if c.Across == 0 {
		return c, fault.At("shim of "+w.Joint, "", "the diameter across which its taper is given, or that of the contact ring", fault.ErrMissing)
	}
	return sloped(s, r, b, c, w.MostTaper)
}

// sloped searches the rise and direction of a wedge up to most.
func sloped(s Shop, r *rater, b align.Stack, c Correction, most tolerance.Length) (Correction, error) {
	rise, clock, ok := r.vector(most, s.Step, s.ClockStep, func(rise tolerance.Length, clock tolerance.Angle) (align.Stack, error) {
		d := c
		d.Rise, d.Clock = rise, clock
		return d.Apply(b)
	})
	if !ok {
		c.Rise = s.Step
		return c, nothing(c, b)
	}
	c.Rise, c.Clock = rise, clock
	return c, nil
}

// pushed holds every joint that can move where the shaft line has most room.
func pushed(_ *rater, s align.Stack) (Correction, error) {
	c := Correction{Kind: Push}
	a, err := s.Solve()
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
				v := towards(p.By, p.Clock)
				d := inFront(a, k, v)
				f.X += d.X
				f.Y += d.Y
				f.Turn += p.Turn
				c.By = max(c.By, p.By)
			}
		}
		c.Floats = append(c.Floats, JointFloat{j.Name, f})
	}
	return c, nil
}
