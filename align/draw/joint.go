package draw

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// jointRadius is the greatest of the joint's plan, in user units; floatHalf is half the side of the field that shows its float.
const (
	jointRadius = 150
	floatHalf   = 42
)

// Joint draws a joint as seen from the tail, in the frame of the part in front: contact ring, register, pins and bolts to scale; where it touches; the side on which it gaps; and, magnified beside it, where in its float it lies.
//
// It returns an error that wraps [fault.ErrUnknownName] for a joint that the stack does not have, [fault.ErrMissing] without a, or a fault of the options.
func Joint(w io.Writer, a *align.Assembly, joint string, o Options) error {
	c, s, err := opened(a, o, "Joint "+spell.Name(joint))
	if err != nil {
		return err
	}
	at := slices.IndexFunc(a.Joints, func(j align.SeatedJoint) bool { return j.Name == joint })
	if at < 0 {
		return unknown("/joint", joint, "joint", spell.Mapped(a.Joints, func(j align.SeatedJoint) string { return j.Name }))
	}
	p := &plan{field: field{canvas: c}, of: &s.Joints[at], is: &a.Joints[at]}
	p.collect(&s, at)
	answer := p.closing()
	c.head(spell.Name(p.is.Rear)+" seats on "+spell.Name(p.is.Front)+". "+answer, p.fouling())
	r := c.radius(jointRadius, 30)
	p.cx, p.cy = margin+26+r, c.y+20+r
	p.scale = magnify(r / p.far)
	x, y := c.beside(p.cx+r+60, p.cy-r-6, p.cy+r+26)
	p.draw()
	c.y = math.Max(p.cy+r+26, p.float(x, c.keys(x, y)+6))
	c.y += 14
	c.scaleBar(margin, c.y, p.scale, false, "of the plan")
	c.y += 4
	frame := "Seen from the tail, 12 o'clock of " + spell.Name(p.is.Front) + " up. Clearances are diametral."
	scale := "The plan is to scale, " + c.printed() + " " + spell.Trimmed(p.scale/unitsPerMM, 4) + " times life size, but for marks of pins and bolts that would be too small to see. Gaps and clearances are too small for it and stand in words."
	c.notes(frame, scale)
	return c.write(w, frame, answer, p.fouling(), c.keyWords(), p.floatWords(), scale)
}

type plan struct {
	field
	of        *align.Joint
	is        *align.SeatedJoint
	far       float64 // radius that holds everything, mm
	ring      float64 // diameter of the contact ring, mm; 0: not given
	pilot     float64 // diameter of the register, mm; 0: none
	centre    align.Vec2
	ringPilot bool
	pins      []pinMark
}

// pinMark is a pin and where it stands in the front part's frame.
type pinMark struct {
	pin  *align.Pin
	fit  *align.PinFit
	x, y float64
}

// collect reads what is drawn of joint at: rings, pins, and how far out they reach.
func (p *plan) collect(s *align.Stack, at int) {
	front, rear, sign := s.Parts[at].Facing(true), s.Parts[at+1].Facing(false), ahead(&s.Parts[at])
	for _, f := range [2]*align.Face{front, rear} {
		p.meet(f)
	}
	if d, ok := p.of.RegisterRing.Get(); ok && p.is.Pilot != nil {
		p.pilot, p.ringPilot = float64(d), true
	}
	if front != nil {
		p.locate(front, sign)
	}
	p.far = math.Max(p.ring/2, p.pilot/2+float64(p.centre.Size()))
	for _, q := range p.pins {
		p.far = math.Max(p.far, math.Hypot(q.x, q.y)+float64(q.pin.Diameter)/2)
	}
	for _, v := range slices.Concat(p.of.Bolts, p.is.Contacts) {
		p.far = math.Max(p.far, float64(v.Size()))
	}
	if p.far == 0 {
		p.far = 1
	}
}

// meet takes the rings of a face that meets another: the smaller contact ring of the two, and the first register.
func (p *plan) meet(f *align.Face) {
	if f == nil {
		return
	}
	if d, ok := f.Diameter.Get(); ok && (p.ring == 0 || float64(d) < p.ring) {
		p.ring = float64(d)
	}
	if f.Pilot != nil && p.pilot == 0 && p.is.Pilot != nil {
		p.pilot = float64(f.Pilot.Diameter)
	}
}

// locate finds register and pins on the front part's face.
func (p *plan) locate(front *align.Face, sign float64) {
	if front.Pilot != nil {
		p.centre = front.Pilot.Centre
		p.centre.X *= tolerance.Length(sign)
	}
	for i, pin := range p.of.Pins[:min(len(p.of.Pins), len(p.is.Pins))] {
		for _, d := range front.Dowels {
			if d.Name == pin.Dowel {
				p.pins = append(p.pins, pinMark{&pin, &p.is.Pins[i], sign * float64(d.Centre.X), float64(d.Centre.Y)})
			}
		}
	}
}

func (p *plan) closing() string {
	g := p.is.Gap
	how := "The faces touch, with a gap of "
	switch {
	case !(g.Greatest > 0):
		return "The faces are flush."
	case p.is.Rules == align.RulesPilot:
		how = "The pilot leads and the faces do not close: open by "
	}
	return how + p.p.Length(g.Greatest) + " at " + spell.Hand(g.Clock) + "."
}

// fouling says what is in the way of a joint that does not assemble.
func (p *plan) fouling() string {
	if p.is.Assembles {
		return ""
	}
	names := spell.Mapped(p.is.Fouls, func(f string) string { return spell.Name(f) })
	return "DOES NOT ASSEMBLE: its clearances lack " + p.p.Length(p.is.Interference.Length()) + " on diameter; in the way: " + spell.Listed(names, 6) + "."
}

func (p *plan) draw() {
	c := p.canvas
	r := p.far * p.scale
	p.upright(faint, r)
	p.clock(r + 10)
	if p.ring > 0 {
		c.titled("ring", "contact ring", func() { c.circle(thin, p.cx, p.cy, p.ring/2*p.scale) })
		c.explain(c.stroke(thin), "contact ring, diameter "+c.p.Size(tolerance.Length(p.ring)))
	}
	if p.pilot > 0 {
		x, y := p.at(float64(p.centre.X), float64(p.centre.Y))
		class, words := p.marked(pilotName, accent, x, y+p.pilot/2*p.scale)
		c.titled("pilot", "pilot", func() { c.circle(class, x, y, p.pilot/2*p.scale) })
		c.explain(c.stroke(class), p.pilotWords()+words)
	} else {
		c.explain(nil, "no pilot locates it")
	}
	p.drawPins()
	p.drawBolts()
	// the rings are named where there is room, so that their weights need not tell them apart
	for _, ring := range [2]struct {
		diameter float64
		at       align.Vec2
		name     string
	}{{p.ring, align.Vec2{}, "contact ring"}, {p.pilot, p.centre, "pilot"}} {
		if ring.diameter > 0 {
			x, y := p.at(float64(ring.at.X), float64(ring.at.Y)-ring.diameter/2)
			c.try(halo, x, y+.35*smallSize, smallSize, middle, ring.name)
		}
	}
	for _, v := range p.is.Contacts {
		x, y := p.at(float64(v.X), float64(v.Y))
		c.titled("contact", "contact", func() { c.triangle(solid, x, y, 6) })
	}
	if n := len(p.is.Contacts); n > 0 {
		c.explain(func(x, y float64) { c.triangle(solid, x, y, 6) }, "touches here ("+strconv.Itoa(n)+" stations)")
	}
	if g := p.is.Gap; g.Greatest > 0 {
		s, cs := math.Sincos(float64(g.Clock))
		c.titled("gap", "greatest gap", func() { c.arrow(accent, mark, p.cx+(r-26)*s, p.cy-(r-26)*cs, p.cx+(r-2)*s, p.cy-(r-2)*cs) })
		c.explain(func(x, y float64) { c.arrow(accent, mark, x-10, y, x+10, y) }, "greatest gap: "+c.p.Length(g.Greatest)+" at "+spell.Hand(g.Clock))
	}
}

// pilotName is what a result calls the register among what fouls; a dowel has its own name.
const pilotName = "pilot"

// marked is the class of a register or pin at (x, y), and what it does beside locating: what is in the way is thick and red,
// what holds the part closest has a triangle.
func (p *plan) marked(name, class string, x, y float64) (string, string) {
	switch {
	case slices.Contains(p.is.Fouls, name):
		p.titled("governs", name+" is in the way", func() { p.cross(alarm, x, y, 6) })
		return alarm, ": IN THE WAY"
	case p.is.Assembles && name == p.closest():
		p.titled("governs", name+" holds it closest", func() { p.triangle(mark, x, y, 6) })
		return class, "; holds it closest"
	}
	return class, ""
}

// closest is what has the least clearance; empty without register and pins.
func (p *plan) closest() (name string) {
	least := tolerance.Diametral(math.Inf(1))
	if p.is.Pilot != nil {
		name, least = pilotName, p.is.Pilot.Clearance
	}
	for _, q := range p.pins {
		if c := q.fit.Clearance; c < least {
			name, least = q.pin.Dowel, c
		}
	}
	return name
}

// pilotWords is the register in words.
func (p *plan) pilotWords() string {
	f := p.is.Pilot
	s := spell.Either(p.ringPilot, "register ring", "pilot") + ", diameter " + p.p.Size(tolerance.Length(p.pilot)) + ": "
	if l := f.Clearance.Length(); l < 0 {
		s += "squeezed by " + p.p.Length(-l)
	} else if s += "clearance " + p.p.Length(l); f.Loose {
		s += ", which locates nothing"
	}
	if lean := math.Hypot(f.Lean.X, f.Lean.Y); p.p.Slope(lean) != p.p.Slope(0) {
		s += "; leans " + p.p.Slope(lean) + " towards " + spell.Hand(f.Lean.Clock())
		s += spell.If(f.LeanRoom.Given, ", room for "+p.p.Slope(f.LeanRoom.Value))
	}
	s += spell.If(f.Strain > 0, "; strained by "+p.p.Length(f.Strain))
	return s
}

// drawPins draws every pin, filled where it is pressed in a part, with its name where there is room; a flatted pin has a stroke along the direction that it holds.
func (p *plan) drawPins() {
	c := p.canvas
	for _, q := range p.pins {
		x, y := p.at(q.x, q.y)
		class := spell.Either(q.pin.Pressed == align.PressedNeither, hollow, solid)
		r := math.Max(float64(q.pin.Diameter)/2*p.scale, 3.5)
		class, governs := p.marked(q.pin.Dowel, class, x, y-r-5)
		c.titled("pin", "pin "+q.pin.Dowel, func() {
			c.circle(class, x, y, r)
			if n, ok := q.pin.Locates.Get(); ok {
				if l := math.Hypot(n.X, n.Y); l > 0 {
					ux, uy := n.X/l, -n.Y/l
					c.line(ink, x-(r+7)*ux, y-(r+7)*uy, x+(r+7)*ux, y+(r+7)*uy)
				}
			}
		})
		name := spell.Name(q.pin.Dowel)
		_ = c.try(halo, x+r+5, y+.35*smallSize, smallSize, start, name) || c.try(halo, x-r-5, y+.35*smallSize, smallSize, end, name) ||
			c.try(halo, x, y-r-5, smallSize, middle, name) || c.try(halo, x, y+r+4+smallSize, smallSize, middle, name)
		words := "pin " + name + [3]string{" (pressed in front)", " (pressed in the rear part)", " (held by neither)"}[min(q.pin.Pressed, 2)]
		words += spell.If(q.pin.Locates.Given, ", flatted: it holds along the stroke")
		words += ": clearance " + c.p.Length(q.fit.Clearance.Length())
		words += spell.If(q.fit.Squeeze > 0, ", squeezed by "+c.p.Length(q.fit.Squeeze))
		words += governs
		if len(p.pins) <= 6 {
			c.explain(func(x, y float64) { c.circle(class, x, y, 4.5) }, words)
		}
	}
	if n := len(p.pins); n > 6 {
		c.explain(func(x, y float64) { c.circle(solid, x, y, 4.5) }, fmt.Sprintf("%d pins", n))
	}
}

func (p *plan) drawBolts() {
	c := p.canvas
	bolt := func(x, y float64) {
		c.circle(hollow, x, y, 5)
		c.line(thin, x-5, y, x+5, y)
		c.line(thin, x, y-5, x, y+5)
	}
	for _, b := range p.of.Bolts {
		x, y := p.at(float64(b.X), float64(b.Y))
		c.titled("bolt", "bolt", func() { bolt(x, y) })
	}
	if n := len(p.of.Bolts); n > 0 {
		s := strconv.Itoa(n) + " bolts"
		if d, ok := p.of.BoltClearance.Get(); ok {
			s += ", clearance in their holes " + c.p.Length(d.Length())
		}
		c.explain(bolt, s)
	}
}

func (p *plan) floatWords() string {
	j := p.is
	at := align.Vec2{X: j.Float.X, Y: j.Float.Y}
	s := [3]string{"rests ", "rests ", "hangs "}[min(j.Lies, 2)]
	if j.Measured {
		s = "lies, as measured, "
	}
	s += p.p.offset(at) + " from nominal"
	s += spell.If(spell.Degrees(j.Float.Turn) != spell.Degrees(0), ", turned "+turnWords(j.Float.Turn))
	if !j.Measured {
		s += "; may shift from " + p.p.Plain(j.ReachX[0]) + " to " + p.p.Length(j.ReachX[1]) + " across and from " + p.p.Plain(j.ReachY[0]) + " to " + p.p.Length(j.ReachY[1]) + " upwards"
		if t, ok := j.TurnRange.Get(); ok {
			s += ", and turn from " + turnWords(t[0]) + " to " + turnWords(t[1])
		}
	}
	return "Where it lies: " + s + "."
}

// float draws the magnified float at (x, y) and returns its foot: the box of least and greatest shift, and where the joint lies.
func (p *plan) float(x, y float64) float64 {
	c, j := p.canvas, p.is
	y += 4
	y = c.keyAt(x-30, y, keyLine{nil, p.floatWords()})
	all := []tolerance.Length{j.ReachX[0], j.ReachX[1], j.ReachY[0], j.ReachY[1], j.Float.X, j.Float.Y}
	most := float64(max(slices.Max(all), -slices.Min(all)))
	if most == 0 || j.Measured {
		return y
	}
	scale := magnify(floatHalf / most)
	cx, cy := x+floatHalf+8, y+floatHalf+8
	c.line(chain, cx-floatHalf-4, cy, cx+floatHalf+4, cy)
	c.line(chain, cx, cy-floatHalf-4, cx, cy+floatHalf+4)
	c.titled("float", "float", func() {
		c.rect(dash, cx+float64(j.ReachX[0])*scale, cy-float64(j.ReachY[1])*scale, float64(j.ReachX[1]-j.ReachX[0])*scale, float64(j.ReachY[1]-j.ReachY[0])*scale)
		c.circle(solid, cx+float64(j.Float.X)*scale, cy-float64(j.Float.Y)*scale, 3)
	})
	tx := cx + floatHalf + 14
	if tx+110 < c.w-margin {
		c.keyAt(tx-30+14, y+2, keyLine{nil, "dashed box: how far it may shift; dot: where it lies"})
	}
	c.scaleBar(x+8, cy+floatHalf+22, scale, false, "of shift")
	return cy + floatHalf + 26
}
