package advise_test

import (
	"fmt"
	"math"
	"strings"

	. "example.com/borestack/tolerance"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align"
)

// The literal fitter, at the machine: cuts of faces and bores.

// stand is a part under the cutter: the plane that it lies on, and which way is up, in the part's own frame.
type stand struct {
	datum level
	up    r3.Vec
}

// under lays a part on its datum face, with a strip under it if there is one, and says which way is up.
func under(datum level, rear bool, s *stripUnder) stand {
	n := r3.Unit(r3.Vec{X: -datum.s.x, Y: -datum.s.y, Z: 1})
	if !rear { // the front face is up
		n = r3.Scale(-1, n)
	}
	if s == nil {
		return stand{datum, n}
	}
	// from the edge that it rests on to the strip, in the datum face
	d := toClock(s.at.v, 1)
	e := r3.Unit(r3.Vec{X: d.x, Y: d.y, Z: datum.s.dot(d)})
	sn := s.size.v / s.from.v // the strip holds the face that far above the table there
	return stand{datum, r3.Add(r3.Scale(math.Sqrt(1-sn*sn), n), r3.Scale(sn, e))}
}

// levelCut is the plane that a level cut leaves, through a point.
func (s stand) levelCut(x, y, z float64) level {
	sl := flat{-s.up.X / s.up.Z, -s.up.Y / s.up.Z}
	return level{z - sl.dot(flat{x, y}), sl}
}

// cut lays the part on its datum face and cuts it level, down to where it says.
func (w *fitter) cut(o *order) error {
	p := w.part(o.part)
	if p == nil || o.part+"/"+o.face != o.place || o.datum == o.face {
		return fmt.Errorf("no %s face of %q", o.face, o.part)
	}
	rear := o.face == "rear"
	old, datum := planeAsMeasured(p, rear), planeAsMeasured(p, !rear)
	into := -1.0 // a rear face goes forward
	if !rear {
		into = 1
	}
	var cut level
	switch {
	case o.parallel:
		cut = level{old.z + into*o.amount.v, old.s}
		w.near(o, level{(datum.z - old.z) * into, datum.s.minus(old.s).times(into)})
	case o.strip == nil && !o.flat:
		return fmt.Errorf("no set-up")
	default:
		deepest := toClock(o.at.v, o.across.v/2)
		cut = under(datum, rear, o.strip).levelCut(deepest.x, deepest.y, old.at(deepest)+into*o.amount.v)
		if left := into * (cut.at(deepest.times(-1)) - old.at(deepest.times(-1))); math.Abs(left-o.opposite.v) > o.amount.half+o.opposite.half+stripDigits(o)+2e-4 {
			w.fault(o, "%.4f comes off opposite, not %.4f", left, o.opposite.v)
		}
	}
	w.finished(o, level{into * (datum.z - cut.z), datum.s.minus(cut.s).times(into)}, level{into * (datum.z - old.z), datum.s.minus(old.s).times(into)})
	if o.noseMost != nil && apart(-o.at.v, o.noseMost.v) > 0.002 || o.noseStrip != nil && apart(-o.strip.at.v, o.noseStrip.v) > 0.002 {
		w.fault(o, "directions seen from the nose are not those from the tail")
	}
	machined(p, rear, old, cut)
	return nil
}

// finished compares a table with the part: how thick it is and how thick it becomes. What was measured has waves, so the planes through the marks are compared.
func (w *fitter) finished(o *order, after, before level) {
	if len(o.rows) < 3 || o.circle.v == 0 {
		w.fault(o, "no table of marks")
		return
	}
	var is, finish, off []align.Vec3
	for _, r := range o.rows {
		u := toClock(r.tail.v, o.circle.v/2)
		add := func(list *[]align.Vec3, v float64) {
			*list = append(*list, align.Vec3{X: Length(u.x), Y: Length(u.y), Z: Length(v)})
		}
		add(&is, r.is.v)
		add(&finish, r.finish.v)
		add(&off, r.off.v)
		if math.Abs(r.is.v-r.off.v-r.finish.v) > 3*r.is.half+1e-9 {
			w.fault(o, "%.4f less %.4f is not %.4f", r.is.v, r.off.v, r.finish.v)
		}
		if r.finish.v < r.from.v-1e-9 || r.finish.v > r.to.v+1e-9 || o.stop != nil && r.from.v < o.stop.v-o.stop.half-1e-9 {
			w.fault(o, "finish %.4f from %.4f to %.4f", r.finish.v, r.from.v, r.to.v)
		}
	}
	for name, c := range map[string]struct {
		marks []align.Vec3
		want  level
	}{"is": {is, before}, "finishes": {finish, after}} {
		z, x, y := leastSquares(c.marks)
		got := level{z, flat{x, y}}
		for _, m := range c.marks {
			at := flat{float64(m.X), float64(m.Y)}
			if d := math.Abs(got.at(at) - c.want.at(at)); d > o.rows[0].finish.half+o.amount.half+stripDigits(o)+2e-4 {
				w.fault(o, "at %.1f° it %s %.4f, in the table %.4f", toDegrees(at), name, c.want.at(at), got.at(at))
				return
			}
		}
	}
}

// stripDigits is what half a digit of strip and clock does across the part.
func stripDigits(o *order) float64 {
	if o.strip == nil {
		return 0
	}
	return o.across.v / o.strip.from.v * (o.strip.size.half + o.strip.size.v*(o.strip.at.half+o.at.half))
}

func toDegrees(v flat) float64 { return math.Mod(math.Atan2(v.x, v.y)*180/math.Pi+360, 360) }

// near checks that the strip of a parallel cut is about the wedge that the part has.
func (w *fitter) near(o *order, thick level) {
	if o.strip == nil {
		return
	}
	wants := thick.s.times(-o.strip.from.v) // thin over the strip
	if off := wants.minus(toClock(o.strip.at.v, o.strip.size.v)).size(); off > 0.6*math.Max(o.strip.size.v, 0.03) {
		w.fault(o, "the strip of %.3f at %.0f° does not bring it near: its wedge is %.3f at %.0f°", o.strip.size.v, o.strip.at.v*180/math.Pi, wants.size(), toDegrees(wants))
	}
}

// machined leaves a face at the plane of the cut where that reaches it; the rest of the part stays where it was.
func machined(p *align.Part, rear bool, old, cut level) {
	if f := faceOf(p, rear); f.Pilot != nil && !f.Pilot.Slope.Given { // its axis is in the metal, not in the face
		a := axisOf(p, rear)
		f.Pilot.Slope = Given(align.Slope{X: a.x, Y: a.y})
	}
	if !rear && p.Rear != nil && p.Rear.Thickness != nil { // the micrometer's datum is gone: what it read becomes points
		t := p.Rear.Thickness
		for k, v := range t.Values {
			var sum Length
			for _, x := range v {
				sum += x / Length(len(v))
			}
			if u := toClock(stationOf(&t.Readings, k), float64(t.Radius)); len(v) > 0 {
				p.Rear.Points = append(p.Rear.Points, align.Vec3{X: Length(u.x), Y: Length(u.y), Z: sum})
			}
		}
		p.Rear.Thickness = nil
	}
	f := faceOf(p, rear)
	reached := func(z, c float64) float64 {
		if rear {
			return math.Min(z, c)
		}
		return math.Max(z, c)
	}
	switch {
	case len(f.Points) > 0:
		for i := range f.Points {
			q := &f.Points[i]
			q.Z = Length(reached(float64(q.Z), cut.at(flat{float64(q.X), float64(q.Y)})))
		}
	case f.Thickness != nil:
		for k, v := range f.Thickness.Values { // its waves may be the other face's: they stay
			u := toClock(stationOf(&f.Thickness.Readings, k), float64(f.Thickness.Radius))
			for i := range v {
				v[i] += Length(cut.at(u) - old.at(u))
			}
		}
		f.Thickness.Closing = Optional[Length]{}
	default:
		f.Sweep, f.Z, f.Slope = nil, Length(cut.z), align.Slope{X: cut.s.x, Y: cut.s.y}
	}
}

// bore moves a bore; what was dialled from it stays where it is in the metal.
func (w *fitter) bore(o *order) error {
	p := w.part(o.part)
	_, name, _ := strings.Cut(o.place, "/")
	if p == nil {
		return fmt.Errorf("no part %q", o.part)
	}
	type where struct {
		at    flat
		bore  *align.Bore
		pilot *align.Pilot
	}
	var others []where // that were dialled from this one
	var own *align.Bore
	for i := range p.Bores {
		b := &p.Bores[i]
		if b.Name == name {
			own = b
		} else if b.Sweep != nil && strings.HasSuffix(b.Sweep.About, "/"+name) {
			others = append(others, where{at: boreCentre(p, b), bore: b})
		}
	}
	for _, rear := range []bool{false, true} {
		if f := faceOf(p, rear); f != nil && f.Pilot != nil && f.Pilot.Sweep != nil && strings.HasSuffix(f.Pilot.Sweep.About, "/"+name) {
			others = append(others, where{at: pilotAt(p, rear), pilot: f.Pilot})
		}
	}
	if own == nil {
		return fmt.Errorf("no bore %q", o.place)
	}
	c := boreCentre(p, own).plus(toClock(o.at.v, o.amount.v))
	own.Sweep, own.Centre.X, own.Centre.Y = nil, Length(c.x), Length(c.y)
	for _, q := range others {
		if q.bore != nil {
			q.bore.Sweep, q.bore.Centre.X, q.bore.Centre.Y = nil, Length(q.at.x), Length(q.at.y)
		} else {
			q.pilot.Sweep, q.pilot.Centre = nil, q.at.vec()
		}
	}
	return nil
}
