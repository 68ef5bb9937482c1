package advise

import (
	"context"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

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
	most := a.mostRise(c)
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

// mostRise is how far a cut may rise before it takes more than the stock anywhere.
func (a *Advice) mostRise(c Correction) tolerance.Length {
	if w := a.Shop.work(c, func(w *Work) bool { return w.Most > 0 }); w != nil {
		return max(w.Most-c.By, c.Rise)
	}
	return tolerance.Length(math.Inf(1))
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
