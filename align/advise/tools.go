package advise

import (
	"context"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// hold is where a part is held on the part in front of it, as two dials on its rim show it. The zero of the
// dials is the middle of what it can be pushed, found by pushing it both ways.
type hold struct {
	Joint  string
	Behind string              // the part
	Travel [2]tolerance.Length // along the dial at 3 o'clock and along the one at 12 o'clock, from end to end
	At     align.Vec2          // what the dials read: from zero towards 3 and towards 12 o'clock, in the box
	Turns  bool                // it can be turned; else the bolt pattern sets its clock
	Turn   tolerance.Length    // clockwise from the middle of what it turns there, at Radius from its centre
	Radius tolerance.Length
}

// holdOf says where a float of a joint is on the dials.
func holdOf(t *align.Travel, s *align.Stack, k int, f align.Float) hold {
	zero, at := t.Middle(), t.InS(f)
	h := hold{
		Joint: s.JointName(k), Behind: s.Parts[k+1].Name,
		Travel: [2]tolerance.Length{t.X[1] - t.X[0], t.Y[1] - t.Y[0]},
		At:     align.Vec2{X: at.X - zero.X, Y: at.Y - zero.Y},
		Turns:  t.Turns, Radius: rimOf(s, k),
	}
	if ends, ok := t.TurnAt(f); ok && t.Turns {
		h.Turn = tolerance.Length(f.Turn-(ends[0]+ends[1])/2) * h.Radius
	}
	return h
}

// usualRim is where a turn is dialled on a part whose size nobody states.
const usualRim = 100 * tolerance.Millimetre

// rimOf is the radius of the part behind joint k: of its ring, or of its farthest dowel.
func rimOf(s *align.Stack, k int) tolerance.Length {
	f := s.Parts[k+1].Facing(false)
	if f == nil {
		return usualRim
	}
	if f.Diameter.Given {
		return f.Diameter.Value / 2
	}
	far := tolerance.Length(0)
	for _, d := range f.Dowels {
		far = max(far, d.Centre.Size())
	}
	if far == 0 {
		return usualRim
	}
	return tolerance.Length(math.Round(float64(far)))
}

// division is a place in a joint's float in divisions of the dials: from zero towards 3 and 12 o'clock, and
// the turn at the rim from the middle of what it turns there.
type division struct{ x, y, turn int }

// dialPlace is a joint that is set by dials.
type dialPlace struct {
	travel   *align.Travel
	division tolerance.Length
	radius   tolerance.Length
	turnless tolerance.Optional[tolerance.Angle] // the turn is this, and not set
	allowed  func(align.Float) bool
}

// float is where the joint lies at those divisions; false: it cannot.
func (d *dialPlace) float(at division) (align.Float, bool) {
	zero := d.travel.Middle()
	f := d.travel.InFront(align.Float{X: zero.X + tolerance.Length(at.x)*d.division, Y: zero.Y + tolerance.Length(at.y)*d.division})
	if d.turnless.Given {
		f.Turn = d.turnless.Value
		return f, d.allowed(f)
	}
	ends, ok := d.travel.TurnAt(f)
	if !ok {
		return f, false
	}
	f.Turn = (ends[0]+ends[1])/2 + tolerance.Angle(tolerance.Length(at.turn)*d.division/d.radius)
	return f, at.turn == 0 || d.travel.Allows(f, 0)
}

// nearest are the divisions nearest a float.
func (d *dialPlace) nearest(f align.Float) division {
	zero, at := d.travel.Middle(), d.travel.InS(f)
	round := func(v tolerance.Length) int { return int(math.Round(float64(v / d.division))) }
	out := division{x: round(at.X - zero.X), y: round(at.Y - zero.Y)}
	if there, ok := d.float(out); ok && !d.turnless.Given {
		out.turn = round(tolerance.Length(f.Turn-there.Turn) * d.radius)
	}
	return out
}

// around lists divisions about one, itself first, those without an order to turn before the others.
func (d *dialPlace) around(at division) []division {
	var out []division
	for _, turn := range slices.Compact([]int{0, at.turn}) {
		for _, s := range [][2]int{{0, 0}, {1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
			if turn == 0 || !d.turnless.Given && d.travel.Turns {
				out = append(out, division{at.x + s[0], at.y + s[1], turn})
			}
		}
	}
	return out
}

// worthADivision is the least room, in mm, for which a part is set elsewhere or turned than where the division nearest to its best place says.
const worthADivision = 5e-4

// settle takes the best of the divisions about a float; set is the correction that holds the joint there. False: it can be held at none.
func (r *rater) settle(d *dialPlace, about align.Float, s *align.Stack, set func(align.Float) Correction) (c Correction, found bool) {
	best := choice{rater: r}
	for _, try := range d.around(d.nearest(about)) {
		f, ok := d.float(try)
		if !ok {
			continue
		}
		e := set(f)
		if best.take(worthADivision, func() (align.Stack, error) { return e.Apply(*s) }) {
			c = e
		}
	}
	return c, best.found
}

// toDialPush brings every joint that is held to divisions of the dials: the best of those about where it was to be held. A joint that cannot be held at any is left as it was.
func (a *Advice) toDialPush(r *rater, c Correction, s *align.Stack, _ func(Correction) bool) (*Correction, error) {
	const rounds = 2
	for n := range rounds * len(c.Floats) {
		i := n % len(c.Floats)
		joint := c.Floats[i].Joint
		t, err := s.Travel(joint)
		if err != nil {
			return nil, err
		}
		d := &dialPlace{travel: t, division: a.Shop.Graduation, radius: rimOf(s, jointNamed(s, joint))}
		there, ok := r.settle(d, c.Floats[i].Float, s, func(f align.Float) Correction {
			d := c
			d.Floats = slices.Clone(c.Floats)
			d.Floats[i].Float = f
			return d
		})
		if ok {
			c = there
		}
	}
	return &c, nil
}

// toDialRedowel brings the place where a joint is reamed to divisions of the dials, whose zero is the middle of what it can be pushed while its old dowels are in; its turn is the middle of what it turns there.
func (a *Advice) toDialRedowel(r *rater, c Correction, s *align.Stack, _ func(Correction) bool) (*Correction, error) {
	k := jointNamed(s, c.Place)
	t, err := s.Travel(c.Place)
	if err != nil || k < 0 {
		return nil, err
	}
	solved, err := placed(*s)
	if err != nil {
		return nil, err
	}
	rest := solved.Joints[k].Float
	v := towards(c.By, c.Clock)
	want := align.Float{X: rest.X + v.X, Y: rest.Y + v.Y, Turn: rest.Turn + c.Turn}
	middle := want.Turn
	if ends, ok := t.TurnAt(t.InFront(t.Middle())); ok {
		middle = (ends[0] + ends[1]) / 2
	}
	set := func(f align.Float) Correction {
		d := c
		e := align.Vec2{X: f.X - rest.X, Y: f.Y - rest.Y}
		d.By, d.Clock, d.Turn = e.Size(), e.Clock(), f.Turn-rest.Turn
		return d
	}
	most := tolerance.Length(math.Inf(1))
	if w := a.Shop.work(c, func(*Work) bool { return true }); w != nil {
		most = max(w.Most, c.By)
	}
	d := &dialPlace{travel: t, division: a.Shop.Graduation, turnless: tolerance.Given(middle), allowed: func(f align.Float) bool {
		return set(f).By <= most+rounding && c.withinPilot(s, &solved.Joints[k], k, f) == nil
	}}
	if out, ok := r.settle(d, want, s, set); ok {
		return &out, nil
	}
	return nil, nil
}

// asPrinted is the option with every amount as the tool in hand can do it and as the sheet says it: strips
// from the shop's stock, pushes in divisions of its dial. What no tool can round stays as it is. The result
// is judged again, so that the sheet promises what its own numbers give.
func (a *Advice) asPrinted(ctx context.Context, o *Option) (*Option, error) {
	list := slices.Clone(o.Corrections)
	r := newRater(ctx, a.Box, a.Before)
	s := a.Box.Stack
	changed := false
	for i, c := range list {
		if tool := c.Kind.trait().tool; tool != nil {
			printed, err := tool(a, r, c, &s, func(d Correction) bool { // only what fits is taken
				try := slices.Clone(list)
				try[i] = d
				_, err := a.carryOut(try)
				return err == nil
			})
			if err != nil {
				return nil, err
			}
			if printed != nil {
				list[i], changed = *printed, true
			}
		}
		var err error
		if s, err = list[i].Apply(s); err != nil {
			return nil, err
		}
	}
	if err := stopped(ctx); err != nil || !changed {
		return o, err
	}
	return a.Try(ctx, list...)
}

// stripClock is how closely the place of a strip is set out.
const stripClock = 1 * tolerance.Degree

// toStrip rounds the finished wedge of a cut to a strip in stock, at a whole degree: what the strip leaves is what is finished, so that the cut follows from it.
func (a *Advice) toStrip(_ *rater, c Correction, s *align.Stack, fits func(Correction) bool) (*Correction, error) {
	p, _, err := c.face(s)
	if err != nil {
		return nil, err
	}
	if p.Front == nil || p.Rear == nil || c.Across == 0 {
		return nil, nil
	}
	now, err := thicknessOf(p)
	if err != nil {
		return nil, err
	}
	cut := c.wedge()
	thin := align.Vec2{X: c.Across * tolerance.Length(cut.X-now.s.X), Y: c.Across * tolerance.Length(cut.Y-now.s.Y)}
	most := tolerance.Length(math.Inf(1))
	if w := a.Shop.work(c, func(w *Work) bool { return w.Most > 0 }); w != nil { // it must not take more than the stock anywhere
		most = max(w.Most-c.By, c.Rise)
	}
	for _, size := range a.strips(thin.Size()) {
		clock := tolerance.Angle(math.Round(float64(thin.Clock()/stripClock))) * stripClock
		v := towards(size, clock)
		w := align.Vec2{X: v.X + c.Across*tolerance.Length(now.s.X), Y: v.Y + c.Across*tolerance.Length(now.s.Y)}
		d := c
		d.Rise, d.Clock = w.Size(), w.Clock()
		if d.Rise <= most+rounding && fits(d) {
			return &d, nil
		}
	}
	return nil, nil
}

// nearby is how many strips are tried, nearest first.
const nearby = 6

// strips lists what can be put under a part, nearest to size first; 0 is none.
func (a *Advice) strips(size tolerance.Length) []tolerance.Length {
	out := append([]tolerance.Length{0}, a.Shop.Strips...)
	if len(a.Shop.Strips) == 0 {
		n := math.Floor(float64(size / a.Shop.Step))
		for k := n - nearby/2; k <= n+nearby/2; k++ {
			if k > 0 {
				out = append(out, tolerance.Length(k)*a.Shop.Step)
			}
		}
	}
	slices.SortStableFunc(out, func(x, y tolerance.Length) int {
		return int(math.Copysign(1, math.Abs(float64(x-size))-math.Abs(float64(y-size))))
	})
	return out[:min(len(out), nearby)]
}
