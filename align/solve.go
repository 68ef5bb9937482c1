package align

import (
	"fmt"
	"math"
	"reflect"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/align/internal/shaftline"
	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/tolerance"
)

// Solve works out one box: how every part sits, where every bore ends up, whether straight shafts
// have room and which supports govern, at rest and over the float of all joints. It returns every
// fault of the stack, joined, or [fault.ErrNotConverging] where the numerics give no certified
// answer.
//
// Source: the model is described in the package comment.
func (s Stack) Solve() (*Assembly, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	k, err := workOut(s)
	if err != nil {
		return nil, err
	}
	a := &Assembly{Title: s.Title, stack: k.stack}
	for i := range s.Parts {
		p := PlacedPart{Part: s.Parts[i].Name, BaseFromPart: k.placed[i]}
		for n, f := range []*mountedFace{k.parts[i].front, k.parts[i].rear} {
			if f.given {
				p.Faces[n] = tolerance.Given(tolerance.Length(k.placed[i].apply(r3.Vec{Z: f.p.Z}).Z))
			}
		}
		a.Placed = append(a.Placed, p)
	}
	for i := range s.Joints {
		j, err := k.joint(i)
		if err != nil {
			return nil, err
		}
		a.Joints = append(a.Joints, j)
	}
	a.Parts = k.shapes()
	a.Readings = k.readingFits()
	for i := range s.Chains {
		a.Chains = append(a.Chains, ChainGap{s.Chains[i].Name, tolerance.Length(k.chain(i))})
	}
	for i := range s.Meshes {
		m, err := k.meshFit(i)
		if err != nil {
			return nil, err
		}
		a.Meshes = append(a.Meshes, m)
	}
	if len(s.Shafts) > 0 {
		if err := k.shafts(a); err != nil {
			return nil, err
		}
		var err error
		if a.Loads, err = k.sideLoads(a.Meshes); err != nil {
			return nil, err
		}
		k.guides(a)
	}
	k.notes(a)
	if at := a.notFinite(); at != "" {
		return nil, fmt.Errorf("align: a result is not finite, %s: %w", at, fault.ErrNotConverging)
	}
	return a, nil
}

// joint describes how joint i closed.
func (k *kernel) joint(i int) (SeatedJoint, error) {
	j, s := &k.stack.Joints[i], k.seats[i]
	out := SeatedJoint{
		Name: k.stack.JointName(i), Front: k.stack.Parts[i].Name, Rear: k.stack.Parts[i+1].Name,
		Rules: RulesFlush, Lies: j.Lies, Measured: j.Float != nil,
		Assembles: s.set.Lack == 0, Interference: tolerance.Diametral(2 * s.set.Lack),
		Fouls: s.fouls(j), Pilot: s.pilotFit(k.parts[i].rear.pilotD), Pins: k.pinFits(i),
		Float: Float{tolerance.Length(s.at.X), tolerance.Length(s.at.Y), tolerance.Angle(-s.at.G)},
	}
	if out.Float.Turn == 0 {
		out.Float.Turn = 0 // no negative zero
	}
	if s.led {
		out.Rules = RulesPilot
	}
	if s.set.Turns {
		lo, hi, err := s.set.TurnRange()
		if err != nil {
			return out, err
		}
		out.TurnRange = tolerance.Given([2]tolerance.Angle{tolerance.Angle(-hi), tolerance.Angle(-lo)})
	}
	var ends [4]floatset.Vec
	for n, towards := range [4]floatset.Vec{{X: -1}, {X: 1}, {Y: -1}, {Y: 1}} {
		var err error
		if ends[n], err = s.set.Farthest(towards); err != nil {
			return out, err
		}
	}
	out.ReachX = [2]tolerance.Length{tolerance.Length(ends[0].X), tolerance.Length(ends[1].X)}
	out.ReachY = [2]tolerance.Length{tolerance.Length(ends[2].Y), tolerance.Length(ends[3].Y)}
	if j.SeatOnPoints {
		s.onPoints(j, &out)
	}
	if s.gap > 0 {
		out.Gap = Gap{tolerance.Length(s.gap), tolerance.Clock(s.gapX, s.gapY)}
	}
	return out, nil
}

// fouls names what stands in the way of a joint.
func (s *seating) fouls(j *Joint) (names []string) {
	for _, f := range s.set.Fouls {
		name := "pilot"
		switch pin := s.set.Constraints[f].Mark; {
		case pin == boltMark:
			name = "bolts"
		case pin >= 0:
			name = j.Pins[pin].Dowel
		}
		if n := len(names); n == 0 || names[n-1] != name {
			names = append(names, name)
		}
	}
	return names
}

// pilotFit is how the spigot sits in its bore; nil without a pilot. The front part's is of that
// diameter.
func (s *seating) pilotFit(diameter float64) *PilotFit {
	if !s.pilot {
		return nil
	}
	fit := &PilotFit{
		Clearance: tolerance.Diametral(s.cp), Lean: Slope{s.tx, s.ty},
		Strain: tolerance.Length(s.strain), Loose: s.cp > loosePilot*diameter,
	}
	if s.led {
		fit.Strain = 0
	}
	if room := math.Max(s.cp, 0) / s.engaged; s.engaged > 0 && !math.IsInf(room, 0) {
		fit.LeanRoom = tolerance.Given(room)
	}
	return fit
}

// pinFits is how the pins of joint i sit in their holes.
func (k *kernel) pinFits(i int) (fits []PinFit) {
	for n, h := range k.lay.pins[i] {
		p := &k.stack.Joints[i].Pins[n]
		a, b := k.parts[i].rear.dowels[h.a].d, k.parts[i+1].front.dowels[h.b].d
		fit := PinFit{Dowel: p.Dowel, Clearance: tolerance.Diametral(pinClearance(p.Pressed, float64(p.Diameter), a, b))}
		if p.Pressed != PressedFront {
			fit.Squeeze = max(fit.Squeeze, p.Diameter-tolerance.Length(a))
		}
		if p.Pressed != PressedRear {
			fit.Squeeze = max(fit.Squeeze, p.Diameter-tolerance.Length(b))
		}
		fits = append(fits, fit)
	}
	return fits
}

// loosePilot is the share of its diameter by which a pilot's clearance may exceed a sliding fit
// before it locates nothing: a thousandth, about 0.005 in on a 5 in register.
//
// Source: common practice, no published source.
const loosePilot = 1e-3

// shapes describes every part with two faces, as mounted.
func (k *kernel) shapes() []PartShape {
	var out []PartShape
	for i := range k.parts {
		m, p := &k.parts[i], &k.stack.Parts[i]
		if !m.front.given || !m.rear.given {
			continue
		}
		g := Slope{m.rear.p.SX - m.front.p.SX, m.rear.p.SY - m.front.p.SY}
		s := PartShape{Name: p.Name, Thickness: tolerance.Length(m.rear.p.Z - m.front.p.Z), Wedge: g}
		across := lesser(m.rear.diameter, m.front.diameter)
		if t := p.Rear.Thickness; t != nil {
			across = 2 * float64(t.Radius)
			lo, hi, waves := thicknessSpread(t, &m.faceRings[1])
			s.ThicknessVariation = tolerance.Given(tolerance.Length(hi - lo))
			s.Waviness = tolerance.Given(tolerance.Length(waves))
		}
		if across > 0 {
			s.Across = tolerance.Given(tolerance.Length(across))
			s.Rise = tolerance.Given(tolerance.Length(across * math.Hypot(g.X, g.Y)))
		}
		out = append(out, s)
	}
	return out
}

// shafts fills in supports and shaft line, at rest and over the float.
func (k *kernel) shafts(a *Assembly) error {
	line, err := k.shaftLine()
	if err != nil {
		return err
	}
	a.Line = line
	use := line.Use.Or(math.Inf(1))
	rooms, err := k.line.Slacks(len(k.lay.supports), use)
	if err != nil {
		return err
	}
	var ref axisLine
	if len(k.lay.refs) > 0 { // there is none where pockets alone carry the shafts
		ref = k.reference(0)
	}
	a.Reference = StraightShaft{AtZero: Vec2{tolerance.Length(ref.x), tolerance.Length(ref.y)}, Slope: Slope{ref.sx, ref.sy}}
	for i, at := range k.lay.supports {
		sup := k.support(i)
		axis := k.axisAt(at.boreAt)
		x, y := ref.offset(&axis)
		tx, ty := ref.tilt(&axis)
		clearance, _ := k.clearance(i)
		b := SupportedBore{
			Shaft: k.stack.Shafts[at.shaft].Name, Bore: sup.Bore, Kind: sup.Kind, Z: tolerance.Length(axis.z),
			Offset: Vec2{tolerance.Length(x), tolerance.Length(y)}, Tilt: Slope{tx, ty},
			Clearance: tolerance.Diametral(clearance),
		}
		if !math.IsInf(rooms[i], 1) {
			b.Room = tolerance.Given(tolerance.Length(rooms[i]))
		}
		if n := slices.IndexFunc(line.Shafts, func(s StraightShaft) bool { return s.Name == b.Shaft }); n >= 0 {
			best := line.Shafts[n].Slope
			b.TiltRatio = ratioTo(math.Hypot(axis.sx-best.X, axis.sy-best.Y), sup.Tilt)
		}
		a.Supports = append(a.Supports, b)
	}
	line.OverFloat, err = k.lineRange(use, -float64(line.Margin))
	return err
}

// lineRange works out use and margin over the floats, and the push to the best, where use and lack
// are what they are at rest; nil when nothing floats. The kernel is put back as it was.
func (k *kernel) lineRange(use, lack float64) (*LineRange, error) {
	o := k.newOver()
	if len(o.loose) == 0 {
		return nil, nil
	}
	floats := make([]floatset.Vec, len(k.seats))
	optional := func(v float64) tolerance.Optional[float64] {
		if math.IsInf(v, 1) {
			return tolerance.Optional[float64]{}
		}
		return tolerance.Given(v)
	}
	rest := [2]float64{shaftline.ByUtilisation: use, shaftline.ByMargin: lack}
	var best, worst, bound [2]float64
	var err error
	for by := range rest {
		if worst[by], bound[by], err = o.worstAndBound(shaftline.Measure(by), rest[by]); err != nil {
			return nil, err
		}
	}
	for by := range rest {
		if best[by], err = o.best(shaftline.Measure(by), rest[by], floats); err != nil {
			return nil, err
		}
	}
	const u, m = shaftline.ByUtilisation, shaftline.ByMargin
	out := &LineRange{
		BestUse: optional(best[u]), WorstUse: optional(worst[u]), WorstUseBound: optional(bound[u]),
		BestMargin: tolerance.Length(-best[m]), WorstMargin: tolerance.Length(-worst[m]), WorstMarginBound: tolerance.Length(-bound[m]),
	}
	if err := o.smallestPush(-best[m], floats); err == nil {
		out.Push = k.pushes(o, floats)
	}
	o.rest(o.trial)
	k.placeAt(o.trial)
	return out, nil
}

// pushes says how to move each loose joint from where it rests to floats, as seen from the tail.
func (k *kernel) pushes(o *over, floats []floatset.Vec) []Push {
	const nothing = 5e-5 // mm: a push that nobody can feel
	o.rest(o.trial)
	k.placeAt(o.trial)
	var out []Push
	for _, l := range o.loose {
		s := k.seats[l.joint]
		dx, dy := floats[l.joint].X-s.at.X, floats[l.joint].Y-s.at.Y
		d := k.placed[l.joint].rotate(r3.Vec{X: dx, Y: dy, Z: s.mx*dx + s.my*dy})
		turn := s.at.G - floats[l.joint].G
		if math.Hypot(d.X, d.Y) < nothing && math.Abs(turn)*s.set.CharLength < nothing {
			continue
		}
		out = append(out, Push{
			Joint: k.stack.JointName(l.joint), Clock: tolerance.Clock(d.X, d.Y),
			By: tolerance.Length(math.Hypot(d.X, d.Y)), Turn: tolerance.Angle(turn),
		})
	}
	return out
}

// notFinite is the path of the first number of the result that is not finite; empty where all are.
func (a *Assembly) notFinite() (path string) {
	v := reflect.ValueOf(a).Elem()
	shapes[v.Type()].visit(v, nil, func(at []byte, n reflect.Value) {
		if path == "" && !ieee.Finite(n.Float()) {
			path = string(at)
		}
	})
	return path
}
