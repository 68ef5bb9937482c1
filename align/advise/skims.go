package advise

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// cutting is a search among the cuts of a face. It refuses a skim without a stated least thickness.
func (s Shop) cutting(w SkimWork, search func(r *rater, b align.Stack, c Correction, w SkimWork, p *align.Part) (Correction, error)) finder {
	return func(r *rater, b align.Stack, c Correction) (Correction, error) {
		if !w.Least.Given {
			return c, c.noThickness()
		}
		p, rear, err := c.twoFaced(&b)
		if err != nil {
			return c, err
		}
		if c.Across == 0 {
			c.Across = ringOf(p, rear)
		}
		if c.Across == 0 {
			return c, fault.At("skim of "+w.Face, "", "the diameter of its contact ring, or thickness readings round it", fault.ErrMissing)
		}
		return search(r, b, c, w, p)
	}
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
	if c.Kind != Skim && c.Kind != SkimWedge {
		return nil
	}
	i := slices.IndexFunc(s.Skims, func(w SkimWork) bool { return w.Face == c.Place && w.Least.Given })
	if i < 0 {
		return c.noThickness()
	}
	p, rear, err := c.twoFaced(before)
	if err != nil {
		return err
	}
	across := c.Across
	if across == 0 {
		across = ringOf(p, rear)
	}
	thin, err := thinnest(p, across, c.depth())
	if least := s.Skims[i].Least.Value; err == nil && thin < least-rounding {
		err = c.impossible("it leaves the part %v thick where it is thinnest, less than %v", thin, least)
	}
	return err
}

// ringOf is the diameter on which a part is marked: of its thickness readings, or of the contact ring of the face; 0 when neither is known.
func ringOf(p *align.Part, rear bool) tolerance.Length {
	if p.Rear != nil && p.Rear.Thickness != nil {
		return 2 * p.Rear.Thickness.Radius
	}
	return faceOf(p, rear).Diameter.Or(0)
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

// parallelCut searches the depth of a parallel cut.
func (s Shop) parallelCut(r *rater, b align.Stack, c Correction, w SkimWork, p *align.Part) (Correction, error) {
	thin, err := thinnest(p, c.Across, tilted{})
	if err != nil {
		return c, err
	}
	deepest := min(w.Stock, thin-w.Least.Value)
	first := int(math.Ceil(float64(max(w.Clean, s.Step)/s.Step) - whole))
	n := int(math.Floor(float64(deepest/s.Step)+whole)) - first + 1
	if n < 1 {
		return c, c.impossible("at most %v may come off, and %v is needed to clean up", max(deepest, 0), max(w.Clean, s.Step))
	}
	stride := 1 + (n-1)/40 // forty depths at most, then every step near the best
	depth := func(i int) tolerance.Length { return tolerance.Length(first+i) * s.Step }
	c, err = r.best((n-1)/stride+1, b, c, func(i int, d *Correction) { d.By = depth(i * stride) })
	if err != nil {
		return c, err
	}
	near := int(math.Round(float64(c.By/s.Step))) - first
	from := max(0, near-stride+1)
	if fine, err := r.best(min(n-from, 2*stride-1), b, c, func(i int, d *Correction) { d.By = depth(from + i) }); err == nil {
		c = fine
	}
	return c, nil
}

// wedgeCut searches the rise of a wedge cut: shallowest where it just cleans up, never thinner than allowed.
func (s Shop) wedgeCut(r *rater, b align.Stack, c Correction, w SkimWork, p *align.Part) (Correction, error) {
	thin, err := thinnest(p, c.Across, tilted{})
	if err != nil {
		return c, err
	}
	least, most, deepest := w.Least.Value, w.Stock-w.Clean, min(w.Stock, thin-w.Least.Value)
	if most < s.Step || deepest < w.Clean-usualStep {
		return c, c.impossible("at most %v may come off", max(deepest, 0))
	}
	out, err := s.search(r, b, c, most, func(d Correction, b align.Stack) (align.Stack, error) {
		if thin, err := thinnest(p, d.Across, d.depth()); err != nil || thin < least-rounding {
			return b, d.impossible("thinner than %v", least)
		}
		return d.Apply(b)
	})
	if err != nil {
		return c, c.impossible("no wedge leaves the part at least %v thick (it is %v at its thinnest)", least, thin)
	}
	return out, nil
}
