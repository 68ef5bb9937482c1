package advise

import (
	"fmt"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// finder chooses the amounts of a correction for a stack; an error says why there are none.
type finder func(r *rater, b align.Stack, c Correction) (Correction, error)

// work is a correction without its amounts, and how they are found.
type work struct {
	Correction
	finder
}

// find chooses the amounts for a stack.
func (w work) find(r *rater, b align.Stack) (Correction, error) { return w.finder(r, b, w.Correction) }

// works lists what the shop allows on a stack.
func (s Shop) works(stack align.Stack) []work {
	var out []work
	add := func(c Correction, find finder) { out = append(out, work{c, find}) }
	asItIs := func(_ *rater, _ align.Stack, c Correction) (Correction, error) { return c, nil }
	if s.Swap {
		for _, k := range stack.Candidates {
			for n := range k.Parts {
				add(Correction{Kind: Swap, Place: k.Place, Part: n}, asItIs)
			}
		}
	}
	for _, p := range s.TurnOver {
		add(Correction{Kind: TurnOver, Place: p}, asItIs)
	}
	for _, w := range s.Reclock {
		add(Correction{Kind: Reclock, Place: w.Part, Redrill: w.Redrill}, w.find)
	}
	for _, w := range s.Skims {
		c := Correction{Kind: Skim, Place: w.Face, By: w.Clean, Across: w.Across}
		add(c, s.cutting(w, s.parallelCut))
		if c.Kind = SkimWedge; w.Wedge {
			add(c, s.cutting(w, s.wedgeCut))
		}
	}
	for _, w := range s.Bores {
		if w.Most > 0 {
			add(Correction{Kind: Sleeve, Place: w.Bore, Across: w.Wall}, s.moved(w.Most))
		}
		if len(w.Offsets) > 0 {
			add(Correction{Kind: Bush, Place: w.Bore}, s.stocked(w.Offsets))
		}
	}
	for _, w := range s.Shims {
		if len(w.Thicknesses) > 0 {
			add(Correction{Kind: Shim, Place: w.Joint, Replace: w.Replace}, w.find)
		}
		if w.MostTaper > 0 {
			add(Correction{Kind: TaperShim, Place: w.Joint, By: w.Thin, Across: w.Across, Replace: w.Replace}, s.tapered(w.MostTaper))
		}
	}
	for _, w := range s.Dowels {
		add(Correction{Kind: OffsetDowels, Place: w.Joint}, s.stocked(w.Steps))
	}
	for _, w := range s.Redowel {
		add(Correction{Kind: Redowel, Place: w.Joint, Across: w.Pin}, s.held(w.Most))
	}
	if s.Push {
		add(Correction{Kind: Push}, pushed)
	}
	return out
}

// search finds the best size and direction of a correction up to most; of carries it out.
func (s Shop) search(r *rater, b align.Stack, c Correction, most tolerance.Length, of func(Correction, align.Stack) (align.Stack, error)) (Correction, error) {
	size := c.Kind.trait().vector
	by, clock, ok := r.vector(most, s.Step, s.ClockStep, func(by tolerance.Length, clock tolerance.Angle) (align.Stack, error) {
		d := c
		*size(&d), d.Clock = by, clock
		return of(d, b)
	})
	if !ok {
		*size(&c) = s.Step
		return c, nothing(c, b)
	}
	*size(&c), c.Clock = by, clock
	return c, nil
}

// stocked searches the best of the sizes in stock, in every direction.
func (s Shop) stocked(sizes []tolerance.Length) finder {
	sizes = slices.DeleteFunc(slices.Clone(sizes), func(v tolerance.Length) bool { return v <= 0 })
	turns := int(math.Round(2 * math.Pi / float64(s.ClockStep)))
	return func(r *rater, b align.Stack, c Correction) (Correction, error) {
		return r.best(len(sizes)*turns, b, c, func(i int, d *Correction) {
			d.By, d.Clock = sizes[i/turns], tolerance.Angle(i%turns)*s.ClockStep
		})
	}
}

// best is the best of n ways to set a correction; an error says why there is none.
func (r *rater) best(n int, b align.Stack, c Correction, set func(i int, d *Correction)) (Correction, error) {
	i, ok := r.pick(n, func(i int) (align.Stack, error) {
		d := c
		set(i, &d)
		return d.Apply(b)
	})
	if n > 0 {
		set(i, &c)
	}
	if !ok {
		return c, nothing(c, b)
	}
	return c, nil
}

// nothing is the refusal when no amount could be evaluated; try says why.
func nothing(c Correction, s align.Stack) error {
	if t, err := c.Apply(s); err != nil {
		return err
	} else if err := t.Validate(); err != nil {
		return fmt.Errorf("%s: %w: %w", c.title(), ErrNotPossible, err)
	}
	return c.impossible("no amount of it can be evaluated")
}

// find turns the part by every step of its pattern.
func (w ReclockWork) find(r *rater, b align.Stack, c Correction) (Correction, error) {
	return r.best(w.Holes-1, b, c, func(i int, d *Correction) { d.Turn = tolerance.Angle(2 * math.Pi * float64(i+1) / float64(w.Holes)) })
}

// find takes the best shim in stock.
func (w ShimWork) find(r *rater, b align.Stack, c Correction) (Correction, error) {
	return r.best(len(w.Thicknesses), b, c, func(i int, d *Correction) { d.By = w.Thicknesses[i] })
}

// moved searches the size and direction of a move.
func (s Shop) moved(most tolerance.Length) finder {
	return func(r *rater, b align.Stack, c Correction) (Correction, error) {
		return s.search(r, b, c, most, Correction.Apply)
	}
}

// tapered searches the rise of a tapered shim, across the contact ring where nothing else is said.
func (s Shop) tapered(most tolerance.Length) finder {
	return func(r *rater, b align.Stack, c Correction) (Correction, error) {
		k := jointNamed(&b, c.Place)
		if k < 0 {
			return c, c.unknown("a joint of the stack")
		}
		if c.Across == 0 {
			for _, f := range []*align.Face{mountedFace(&b.Parts[k], true), mountedFace(&b.Parts[k+1], false)} {
				if f != nil && f.Diameter.Given && (c.Across == 0 || f.Diameter.Value < c.Across) {
					c.Across = f.Diameter.Value
				}
			}
		}
		if c.Across == 0 {
			return c, fault.At("shim of "+c.Place, "", "the diameter across which its taper is given, or that of the contact ring", fault.ErrMissing)
		}
		return s.search(r, b, c, most, Correction.Apply)
	}
}

// held searches where a joint is best held to be reamed. Reaming does not move it, so that the search holds the joint alone.
func (s Shop) held(most tolerance.Length) finder {
	return func(r *rater, b align.Stack, c Correction) (Correction, error) {
		at := jointNamed(&b, c.Place)
		if at < 0 {
			return c, c.unknown("a joint of the stack")
		}
		a, err := placed(b)
		if err != nil {
			return c, err
		}
		j := &a.Joints[at]
		return s.search(r, b, c, most, func(d Correction, b align.Stack) (align.Stack, error) {
			v := towards(d.By, d.Clock)
			f := j.Float
			f.X += v.X
			f.Y += v.Y
			t := b
			t.Joints = slices.Clone(b.Joints)
			t.Joints[at].Float = &f
			if j.Pilot != nil { // the old holes say nothing any more
				t.Joints[at].Pins = nil
			}
			return t, d.withinPilot(&b, j, at, f)
		})
	}
}

// pushed holds every joint that can move where the shaft line has most room.
func pushed(_ *rater, s align.Stack, c Correction) (Correction, error) {
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
