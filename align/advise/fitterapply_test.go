package advise_test

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align"
	. "example.com/borestack/tolerance"
)

// The literal fitter, third part: working. Each order is carried out on the raw record as it would be on the parts: strips tilt a part under the cutter, marks are on the metal, dials have their zero where pushing puts it. What the paper says beside that (where a mark stands, how far it travels, how thick it finishes) is compared with what he finds.

// fitter works on one box.
type fitter struct {
	s      align.Stack
	faults []string // what he finds otherwise than the paper says
}

func (w *fitter) fault(o *order, format string, args ...any) {
	w.faults = append(w.faults, o.kind+" of "+o.place+": "+fmt.Sprintf(format, args...))
}

// carry carries out all orders of a sheet on a copy of the box.
func carry(s align.Stack, orders []*order) (*fitter, error) {
	w := &fitter{s: s.Clone()}
	for _, o := range orders {
		if err := w.do(o); err != nil {
			return nil, fmt.Errorf("%s of %s: %w", o.kind, o.place, err)
		}
	}
	return w, nil
}

func (w *fitter) part(name string) *align.Part {
	for i := range w.s.Parts {
		if w.s.Parts[i].Name == name {
			return &w.s.Parts[i]
		}
	}
	return nil
}

// between finds the joint between two parts.
func (w *fitter) between(front, behind string) (int, error) {
	for k := range w.s.Joints {
		if w.s.Parts[k].Name == front && w.s.Parts[k+1].Name == behind {
			return k, nil
		}
	}
	return 0, fmt.Errorf("no joint between %q and %q", front, behind)
}

// inBox is where a mark of a part as measured stands in the box: end for end it is mirrored, and every joint before it may be clocked.
func (w *fitter) inBox(name string, own float64) float64 {
	for i := range w.s.Parts {
		if p := &w.s.Parts[i]; p.Name == name {
			if p.Turned {
				own = -own
			}
			return own + lookAt(&w.s, min(i, len(w.s.Joints)-1)).standsOf(i, &w.s)
		}
	}
	return math.NaN()
}

// standsOf is the sum of the clocks before part i.
func (*joint) standsOf(i int, s *align.Stack) (sum float64) {
	for k := range i {
		sum += float64(s.Joints[k].Clock)
	}
	return sum
}

// seen is how closely a mark's place in the box is compared: parts lie turned in their floats by less than this.
const seen = 0.25 * math.Pi / 180

func apart(a, b float64) float64 { return math.Abs(math.Remainder(a-b, 2*math.Pi)) }

// frame checks that the paper says which parts are end for end, and where the marks of a part stand.
func (w *fitter) frame(o *order) {
	concerned := map[string]bool{o.part: true, o.behind: true}
	for _, h := range o.holds {
		concerned[h.part] = true
	}
	said := map[string]bool{}
	for _, name := range o.over {
		said[name] = true
	}
	for i := range w.s.Parts {
		p := &w.s.Parts[i]
		if p.Turned && concerned[p.Name] && !said[p.Name] || !p.Turned && said[p.Name] {
			w.fault(o, "%s end for end: said %v, is %v", p.Name, said[p.Name], p.Turned)
		}
	}
	if !o.bench {
		return
	}
	at := w.inBox(o.marksOf, 0)
	switch {
	case o.marksOf != o.part:
		w.fault(o, "marks of %s, work on %s", o.marksOf, o.part)
	case o.clockedAt == nil && apart(at, 0) > 2*seen+math.Pi/360:
		w.fault(o, "its 12 o'clock mark stands at %.1f°, unsaid", at*180/math.Pi)
	case o.clockedAt != nil && apart(at, o.clockedAt.v) > seen:
		w.fault(o, "its 12 o'clock mark stands at %.1f°, not %.1f°", at*180/math.Pi, o.clockedAt.v*180/math.Pi)
	}
}

func (w *fitter) do(o *order) error {
	if o.kind == "Bore and sleeve" || o.kind == "Bush off centre" {
		o.part, _, _ = strings.Cut(o.place, "/")
	}
	w.frame(o)
	switch o.kind {
	case "Another part":
		return w.swap(o)
	case "Turn end for end":
		p := w.part(o.part)
		if p == nil {
			return fmt.Errorf("no part %q", o.part)
		}
		p.Turned = !p.Turned
		return nil
	case "Re-clock":
		return w.reclock(o)
	case "Skim parallel", "Skim by a wedge":
		return w.cut(o)
	case "Bore and sleeve", "Bush off centre":
		return w.bore(o)
	case "Shim", "Tapered shim":
		return w.shim(o)
	case "Offset dowels":
		return w.dowels(o)
	case "Ream and re-dowel in place":
		return w.redowel(o)
	case "Push before tightening":
		for _, h := range o.holds {
			if err := w.push(o, h); err != nil {
				return err
			}
		}
		return nil
	}
	return fmt.Errorf("nobody knows how")
}

// swap fits another part; it answers to the name of the one that it replaces.
func (w *fitter) swap(o *order) error {
	for _, c := range w.s.Candidates {
		for i := range c.Parts {
			if c.Place != o.part || c.Parts[i].Name != o.candidate {
				continue
			}
			p := w.part(o.part)
			*p = align.Stack{Parts: []align.Part{c.Parts[i]}}.Clone().Parts[0]
			old := p.Name + "/"
			p.Name = o.part
			renamed := func(s *align.Sweep) {
				if s != nil && strings.HasPrefix(s.About, old) {
					s.About = o.part + "/" + strings.TrimPrefix(s.About, old)
				}
			}
			for b := range p.Bores {
				renamed(p.Bores[b].Sweep)
			}
			for _, f := range []*align.Face{p.Front, p.Rear} {
				if f == nil {
					continue
				}
				renamed(f.Sweep)
				if f.Pilot != nil {
					renamed(f.Pilot.Sweep)
				}
			}
			return nil
		}
	}
	return fmt.Errorf("no part %q for %q", o.candidate, o.part)
}

// reclock turns a part and drills its holes where its neighbours' are.
func (w *fitter) reclock(o *order) error {
	at := -1
	for i := range w.s.Parts {
		if w.s.Parts[i].Name == o.part {
			at = i
		}
	}
	if at < 1 {
		return fmt.Errorf("no part %q that can be turned", o.part)
	}
	w.s.Joints[at-1].Clock += Angle(o.turn.v)
	behind := at < len(w.s.Joints)
	if behind {
		w.s.Joints[at].Clock -= Angle(o.turn.v)
	}
	// a gasket is by the marks of the part that it lies on, which is how the record has it: the words must say so
	tapered := func(k int) string {
		if k < len(w.s.Joints) && w.s.Joints[k].Gasket != nil && w.s.Joints[k].Gasket.Slope != (align.Slope{}) {
			return w.s.Parts[k].Name
		}
		return ""
	}
	if o.stays != tapered(at-1) || o.lies != tapered(at) {
		w.fault(o, "tapered gaskets by the marks of %q and %q, which are on %q and %q", o.stays, o.lies, tapered(at-1), tapered(at))
	}
	if !o.drilled {
		return nil
	}
	concerned := map[string]bool{}
	for _, n := range o.pins {
		concerned[n] = true
	}
	for k := at - 1; k <= at && k < len(w.s.Joints); k++ {
		j := lookAt(&w.s, k)
		if !j.piloted {
			return fmt.Errorf("no pilots to set it by")
		}
		push := j.lean.times(-0.5)
		for i := range w.s.Joints[k].Pins {
			name := w.s.Joints[k].Pins[i].Dowel
			h, g := j.front.hole(name), j.behind.hole(name)
			if !concerned[name] {
				w.fault(o, "the hole for %s is not said to be drilled", name)
			}
			if k == at-1 {
				g.Centre = j.through(j.front.mirror(flatOf(h.Centre)), push, 0).vec()
			} else {
				h.Centre = j.back(flatOf(g.Centre), push, 0).vec()
			}
		}
	}
	return nil
}

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

// shim puts a shim in a joint, beside the gasket or in its place.
func (w *fitter) shim(o *order) error {
	k, err := w.between(o.part, o.behind)
	if err != nil {
		return err
	}
	j := &w.s.Joints[k]
	g := align.Gasket{}
	switch {
	case (j.Gasket != nil) != (o.gasket != ""):
		w.fault(o, "a gasket is there: %v; the order says %q", j.Gasket != nil, o.gasket)
	case o.gasket == "beside":
		g = *j.Gasket
	}
	add := level{z: o.amount.v}
	if o.kind == "Tapered shim" {
		var marks []align.Vec3
		for _, r := range o.rows {
			u := toClock(r.tail.v, r.radius.v)
			marks = append(marks, align.Vec3{X: Length(u.x), Y: Length(u.y), Z: Length(r.finish.v)})
			if r.finish.v < r.from.v-1e-9 || r.finish.v > r.to.v+1e-9 {
				w.fault(o, "shim %.4f from %.4f to %.4f", r.finish.v, r.from.v, r.to.v)
			}
		}
		if len(marks) < 3 {
			return fmt.Errorf("no table of marks")
		}
		z, x, y := leastSquares(marks)
		add = level{z, flat{x, y}}
		said := level{(o.amount.v + o.opposite.v) / 2, toClock(o.at.v, o.rise.v/o.across.v)}
		for _, m := range marks {
			if at := (flat{float64(m.X), float64(m.Y)}); math.Abs(add.at(at)-said.at(at)) > o.amount.half+o.rise.half+2e-3 {
				w.fault(o, "at %.1f° the table has %.4f, the order %.4f", toDegrees(at), add.at(at), said.at(at))
				break
			}
		}
		if off := apart(w.inBox(o.part, o.at.v), o.inBox.v); off > seen && o.rise.v > 0 {
			w.fault(o, "its thickest side stands at %.1f°, not %.1f°", w.inBox(o.part, o.at.v)*180/math.Pi, o.inBox.v*180/math.Pi)
		}
	}
	add.s = lookAt(&w.s, k).front.mirror(add.s) // by own marks: end for end they are mirrored
	g.Thickness += Length(add.z)
	g.Slope.X += add.s.x
	g.Slope.Y += add.s.y
	j.Gasket = &g
	return nil
}

// dowels puts offset dowels in: as if the holes in front were where the rear ends are.
func (w *fitter) dowels(o *order) error {
	k, err := w.between(o.part, o.behind)
	if err != nil {
		return err
	}
	j := lookAt(&w.s, k)
	step := j.front.mirror(toClock(o.at.v-j.stands, o.amount.v))
	if len(o.pins) != len(w.s.Joints[k].Pins) {
		w.fault(o, "dowels %v of %d", o.pins, len(w.s.Joints[k].Pins))
	}
	for _, name := range o.pins {
		h := j.front.hole(name)
		if h == nil {
			return fmt.Errorf("no dowel %q", name)
		}
		h.Centre = flatOf(h.Centre).plus(step).vec()
	}
	for i := range w.s.Joints[k].Pins {
		w.s.Joints[k].Pins[i].Step = align.Vec2{}
	}
	return nil
}

// onDials finds the zero of two dials and compares the travel: in the front part's frame, the push that the dials read, and that of their zero.
func (w *fitter) onDials(o *order, h *held, j *joint) (push, zero flat, err error) {
	mid, travel, err := j.middle()
	if err != nil {
		return push, zero, err
	}
	for i, t := range travel {
		if math.Abs(t-h.travel[i].v) > h.travel[i].half+2e-5 {
			w.fault(o, "it travels %.5f along dial %d, not %.5f", t, i, h.travel[i].v)
		}
	}
	return mid.plus(flat{h.at[0].v, h.at[1].v}).clockwise(-j.stands), mid.clockwise(-j.stands), nil
}

func (w *fitter) jointNamed(name string) (int, error) {
	for k := range w.s.Joints {
		if w.s.JointName(k) == name {
			return k, nil
		}
	}
	return 0, fmt.Errorf("no joint %q", name)
}

// stopped reports whether a pilot does not let a part go there, by more than the dials' last digits.
func (j *joint) stopped(push flat, h *held) bool {
	return j.piloted && !j.squeezed() && math.Max(push.size(), push.plus(j.lean).size()) > j.room+h.at[0].half+h.at[1].half+1e-6
}

// redowel holds the part where the dials say, and reams it there.
func (w *fitter) redowel(o *order) error {
	k, err := w.jointNamed(o.place)
	if err != nil {
		return err
	}
	h := o.holds[0]
	j := lookAt(&w.s, k)
	if j.front.p.Name != o.part || j.behind.p.Name != o.behind || len(o.pins) != len(w.s.Joints[k].Pins) {
		w.fault(o, "%s on %s with %v", o.behind, o.part, o.pins)
	}
	push, zero, err := w.onDials(o, h, j)
	if err != nil {
		return err
	}
	if j.stopped(push, h) {
		w.fault(o, "the pilot stops it before the dials read that")
	}
	lo, hi, ok := j.turnsAt(zero)
	if !ok { // nowhere at the middle of both dials with its dowels in: as it lay
		a, err := w.s.Solve()
		if err != nil {
			return err
		}
		lo, hi = float64(a.Joints[k].Float.Turn), float64(a.Joints[k].Float.Turn)
	}
	turn := (lo + hi) / 2
	for i := range w.s.Joints[k].Pins {
		pin := &w.s.Joints[k].Pins[i]
		front, behind := j.front.hole(pin.Dowel), j.behind.hole(pin.Dowel)
		behind.Centre = j.through(j.front.mirror(flatOf(front.Centre)), push, turn).vec()
		pin.Diameter, pin.Step = max(pin.Diameter, front.Diameter, behind.Diameter), align.Vec2{}
		if o.pin != nil {
			pin.Diameter = max(pin.Diameter, Length(o.pin.v))
		}
		front.Diameter, behind.Diameter = pin.Diameter+1e-3, pin.Diameter+1e-3
	}
	w.s.Joints[k].Float = &align.Float{X: Length(push.x), Y: Length(push.y), Turn: Angle(turn)}
	return nil
}

// push holds a joint where the dials say, and turned as it says.
func (w *fitter) push(o *order, h *held) error {
	k, err := w.jointNamed(h.joint)
	if err != nil {
		return err
	}
	j := lookAt(&w.s, k)
	if j.behind.p.Name != h.part {
		w.fault(o, "dials on %s, which is not behind joint %s", h.part, h.joint)
	}
	push, _, err := w.onDials(o, h, j)
	if err != nil {
		return err
	}
	if j.stopped(push, h) {
		w.fault(o, "joint %s: the pilot stops it before the dials read that", h.joint)
	}
	for i := range j.pins { // what the dials do not show, the pins give
		j.pins[i].room += h.at[0].half + h.at[1].half
	}
	lo, hi, ok := j.turnsAt(push)
	if !ok {
		w.fault(o, "joint %s: the dowels stop it before the dials read that", h.joint)
		return nil
	}
	turn := (lo + hi) / 2
	if h.turned.v != 0 {
		turn += h.turned.v / h.radius.v
	}
	w.s.Joints[k].Float = &align.Float{X: Length(push.x), Y: Length(push.y), Turn: Angle(turn)}
	return nil
}

// numbers are those of an order that a fitter works by.
func (o *order) numbers() []*printed {
	var out []*printed
	switch o.kind {
	case "Skim parallel", "Shim":
		out = append(out, &o.amount)
	case "Skim by a wedge":
		if out = append(out, &o.amount, &o.at); o.strip != nil {
			out = append(out, &o.strip.size, &o.strip.at, &o.strip.from)
		}
	case "Bore and sleeve", "Bush off centre", "Offset dowels":
		out = append(out, &o.amount, &o.at)
	case "Tapered shim":
		for i := range o.rows {
			out = append(out, &o.rows[i].finish, &o.rows[i].tail, &o.rows[i].radius)
		}
	case "Re-clock":
		out = append(out, &o.turn)
	}
	for _, h := range o.holds {
		out = append(out, &h.at[0], &h.at[1], &h.turned)
	}
	return out
}
