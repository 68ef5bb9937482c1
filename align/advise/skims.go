package advise

import (
	"fmt"
	"math"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// cut begins the search of a cut: the part, how thick it is where it is thinnest, and the most that may come off there. It refuses a skim without a stated least thickness.
func (q *search) cut() (p *align.Part, thin, deepest tolerance.Length, err error) {
	if !q.work.Least.Given {
		return nil, 0, 0, q.noThickness()
	}
	p, rear, err := q.twoFaced(&q.stack)
	if err != nil {
		return nil, 0, 0, err
	}
	if q.Across = q.across(p, rear); q.Across == 0 {
		return nil, 0, 0, fault.At("skim of "+q.Place, "", "the diameter of its contact ring, or thickness readings round it", fault.ErrMissing)
	}
	thin, err = thinnest(p, q.Across, tilted{})
	return p, thin, min(q.work.Most, thin-q.work.Least.Value), err
}

// across is what the rise of a cut is across. Where nothing is said it is the ring that the part is marked on: of its thickness readings, or the contact ring of the face; 0 when neither is known.
func (c Correction) across(p *align.Part, rear bool) tolerance.Length {
	switch {
	case c.Across != 0:
		return c.Across
	case p.Rear != nil && p.Rear.Thickness != nil:
		return 2 * p.Rear.Thickness.Radius
	}
	return faceOf(p, rear).Diameter.Or(0)
}

func (c Correction) noThickness() error {
	part, _, _ := strings.Cut(c.Place, "/")
	return fmt.Errorf("%s: state how thin the %s may become: %w", c.title(), part, ErrNoThickness)
}

// twoFaced finds the face to cut, of a part that has another.
func (c Correction) twoFaced(s *align.Stack) (p *align.Part, rear bool, err error) {
	if p, rear, err = c.face(s); err == nil && (p.Front == nil || p.Rear == nil) {
		err = c.impossible("the part has one face alone, so no thickness to keep")
	}
	return p, rear, err
}

// thickEnough refuses a skim whose least thickness is not stated, or that would leave a part of the stack before it thinner than that, with all that comes off taken from its low spots too.
func (s Shop) thickEnough(c Correction, before *align.Stack) error {
	if !c.Kind.cuts() {
		return nil
	}
	w := s.work(c, func(w *Work) bool { return w.Least.Given })
	if w == nil {
		return c.noThickness()
	}
	p, rear, err := c.twoFaced(before)
	if err != nil {
		return err
	}
	thin, err := thinnest(p, c.across(p, rear), c.depth())
	if least := w.Least.Value; err == nil && thin < least-rounding {
		err = c.impossible("it leaves the part %v thick where it is thinnest, less than %v", thin, least)
	}
	return err
}

// thinnest is the least thickness of a part less what a cut takes off there: of its planes on a ring, of any
// thickness reading, and wherever a face was measured. Where one face was measured and the other was not, the other's plane counts; where both
// were, at the same place, the two heights.
func thinnest(p *align.Part, across tolerance.Length, cut tilted) (tolerance.Length, error) {
	t, err := thicknessOf(p)
	if err != nil {
		return 0, err
	}
	steep := tolerance.Length(math.Hypot(t.s.X-cut.s.X, t.s.Y-cut.s.Y))
	least := t.z0 - cut.z0 - steep*across/2
	if r := p.Rear.Thickness; r != nil {
		for k, v := range r.Values {
			off := cut.ring(marked(&r.Readings, k), r.Radius)
			for _, x := range v {
				least = min(least, x-off)
			}
		}
	}
	front, err := heightsOf(p, false)
	if err != nil {
		return 0, err
	}
	rear, err := heightsOf(p, true)
	if err != nil {
		return 0, err
	}
	for _, q := range rear.points {
		least = min(least, q.Z-front.at(q)-cut.at(q.X, q.Y))
	}
	for _, q := range front.points {
		least = min(least, rear.at(q)-q.Z-cut.at(q.X, q.Y))
	}
	return least, nil
}

// heights are what was measured of a face, and the plane of it.
type heights struct {
	points []align.Vec3
	plane  tilted
}

// samePlace is how near two stations must lie to be one.
const samePlace = 1e-6 * tolerance.Millimetre

// at is the height of the face there: measured, or of its plane.
func (h heights) at(q align.Vec3) tolerance.Length {
	for _, m := range h.points {
		if (align.Vec2{X: m.X - q.X, Y: m.Y - q.Y}).Size() < samePlace {
			return m.Z
		}
	}
	return h.plane.at(q.X, q.Y)
}

// heightsOf lists the heights of a face where it was measured: its points, or the stations of a dial on it, whose readings are heights but for a plane.
func heightsOf(p *align.Part, rear bool) (heights, error) {
	f := faceOf(p, rear)
	at, err := planeOf(p, rear)
	if err != nil || f.Sweep == nil {
		return heights{f.Points, at}, err
	}
	w := f.Sweep
	out := align.Face{}
	sign := tolerance.Length(1) // plunger in: the face stands out, a rear face rearward
	if rear == w.Out {
		sign = -1
	}
	for k, values := range w.Values {
		v := towards(w.Radius, marked(&w.Readings, k))
		for _, x := range values {
			out.Points = append(out.Points, align.Vec3{X: v.X, Y: v.Y, Z: sign * x})
		}
	}
	read, err := planeOf(&align.Part{Name: p.Name, Rear: &out}, true)
	if err != nil {
		return heights{}, err
	}
	for i := range out.Points {
		q := &out.Points[i]
		q.Z += at.at(q.X, q.Y) - read.at(q.X, q.Y)
	}
	return heights{out.Points, at}, nil
}

// thicknessOf is the thickness of a part over its frame's x and y: rear plane less front plane.
func thicknessOf(p *align.Part) (tilted, error) {
	rear, err := planeOf(p, true)
	if err != nil {
		return tilted{}, err
	}
	front, err := planeOf(p, false)
	if err != nil {
		return tilted{}, err
	}
	return tilted{rear.z0 - front.z0, align.Slope{X: rear.s.X - front.s.X, Y: rear.s.Y - front.s.Y}}, nil
}

// parallelCut searches the depth of a parallel cut, which has no direction.
func (q search) parallelCut() (Correction, error) {
	_, _, deepest, err := q.cut()
	if err != nil {
		return q.Correction, err
	}
	step, clean := q.shop.Step, max(q.work.Thin, q.shop.Step)
	q.By = tolerance.Length(math.Ceil(float64(clean/step)-whole)) * step
	if q.By > deepest+rounding {
		return q.Correction, q.impossible("at most %v may come off, and %v is needed to clean up", max(deepest, 0), clean)
	}
	c := q.Correction
	by, _, ok := q.r.vector(deepest, step, 2*math.Pi, func(by tolerance.Length, _ tolerance.Angle) (align.Stack, error) {
		d := q.Correction
		if d.By = by; by < q.By-rounding {
			return q.stack, d.impossible("it would not clean up")
		}
		return q.apply(d)
	})
	if ok {
		c.By = by
	}
	return c, q.found(ok, c)
}

// wedgeCut searches the rise of a wedge cut: shallowest where it just cleans up, never thinner than allowed.
func (q search) wedgeCut() (Correction, error) {
	p, thin, deepest, err := q.cut()
	if err != nil {
		return q.Correction, err
	}
	least, most := q.work.Least.Value, q.work.Most-q.work.Thin
	if most < q.shop.Step || deepest < q.work.Thin-usualStep {
		return q.Correction, q.impossible("at most %v may come off", max(deepest, 0))
	}
	out, err := q.vector(most, func(d Correction) (align.Stack, error) {
		if thin, err := thinnest(p, d.Across, d.depth()); err != nil || thin < least-rounding {
			return q.stack, d.impossible("thinner than %v", least)
		}
		return q.apply(d)
	})
	if err != nil {
		return q.Correction, q.impossible("no wedge leaves the part at least %v thick (it is %v at its thinnest)", least, thin)
	}
	return out, nil
}
