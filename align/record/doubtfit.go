package record

import (
	"fmt"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// Shares beyond which a fit is a slip.
//
// Source: common practice, no published source (heavy shrink fits are near 0.1 % of the diameter).
const (
	tightest  = 0.0025 // of a register's diameter, squeezed
	tightPin  = 0.01   // of a pin's diameter, larger than a hole that it must enter
	bushShare = 0.25   // of the larger, between a bush's clearance and its bore less the journal
)

// cold is a diameter of a part at 20 °C.
func (p *boxPart) cold(d tolerance.Length) tolerance.Length {
	if !p.Material.Given {
		return d
	}
	return d / tolerance.Length(1+p.Material.Value.Expansion*(float64(p.MeasuredAt.Or(tolerance.Reference))-float64(tolerance.Reference)))
}

// meeting is one part's face at a joint, as mounted.
type meeting struct {
	*boxPart
	face *align.Face
	at   string
}

// diameter is the pointer to what says the diameter of the face's pilot.
func (b *box) diameter(m meeting) string {
	return b.first(m.at+"/pilot", "/round/diameter", "/diameter")[0]
}

// meets returns the rear face of part k and the front face of part k+1 as mounted.
func (b *box) meets(k int) (ahead, behind meeting) {
	side := func(p *boxPart, rear bool) meeting {
		if rear != p.Turned {
			return meeting{p, p.Rear, p.at + "/rear"}
		}
		return meeting{p, p.Front, p.at + "/front"}
	}
	return side(&b.parts[k], true), side(&b.parts[k+1], false)
}

// fitDoubts are those of what joins two parts.
func (b *box) fitDoubts(k int) {
	f, r := b.meets(k)
	if f.face == nil || r.face == nil {
		return
	}
	b.pilotDoubts(k, f, r)
	for i := range b.stack.Joints[k].Pins {
		b.pinDoubts(k, i, f, r)
	}
}

// own is the candidate's face of the two, or the second.
func (b *box) own(f, r meeting) meeting {
	if b.only >= 0 && f.boxPart == &b.parts[b.only] {
		return f
	}
	return r
}

// pilotDoubts asks of a register, or of a ring in each of its bores, whether it is tighter than a
// fit can be.
func (b *box) pilotDoubts(k int, f, r meeting) {
	p, q := f.face.Pilot, r.face.Pilot
	if p == nil || q == nil {
		return
	}
	numbers := []string{b.diameter(f), b.diameter(r)}
	if ring := b.stack.Joints[k].RegisterRing; ring.Given {
		at := fmt.Sprintf("/joints/%d/register_ring/diameter", k)
		for i, m := range []meeting{f, r} {
			d := m.cold(m.face.Pilot.Diameter)
			if squeeze := ring.Value - d; exceeds(float64(squeeze), tightest*float64(ring.Value), float64(d)) {
				b.doubt(b.place(at, numbers[i]), fmt.Sprintf("a register ring of %s in the bore of %s in %s is %s tight, %s of its diameter: no ring is pressed in so hard",
					b.say(ring.Value), b.say(d), spell.Name(m.Name), b.say(squeeze), spell.Percent(float64(squeeze/ring.Value))), at, numbers[i])
			}
		}
		return
	}
	if p.Kind == q.Kind {
		return
	}
	spigot, bore := f, r
	if p.Kind == align.PilotBore {
		spigot, bore = r, f
	}
	d, hole := spigot.cold(spigot.face.Pilot.Diameter), bore.cold(bore.face.Pilot.Diameter)
	if squeeze := d - hole; exceeds(float64(squeeze), tightest*float64(d), float64(d)) {
		b.doubt(b.place(fmt.Sprintf("/joints/%d", k), b.diameter(b.own(f, r))), fmt.Sprintf("the spigot of %s on %s is %s larger than the bore of %s in %s, %s of its diameter: no register is pressed together so hard. Read both again",
			b.say(d), spell.Name(spigot.Name), b.say(squeeze), b.say(hole), spell.Name(bore.Name), spell.Percent(float64(squeeze/d))), numbers...)
	}
}

// pinDoubts asks of a pin whether it can enter the holes that it is not pressed into.
func (b *box) pinDoubts(k, i int, f, r meeting) {
	pin := &b.stack.Joints[k].Pins[i]
	at := fmt.Sprintf("/joints/%d/pins/%d", k, i)
	for _, m := range []struct {
		meeting
		holds align.Press
	}{{f, align.PressedFront}, {r, align.PressedRear}} {
		if pin.Pressed == m.holds {
			continue
		}
		for n, d := range m.face.Dowels {
			hole := m.cold(d.Diameter)
			squeeze := pin.Diameter - hole
			if d.Name != pin.Dowel || !exceeds(float64(squeeze), tightPin*float64(pin.Diameter), float64(pin.Diameter)) {
				continue
			}
			to := fmt.Sprintf("%s/dowels/%d", m.at, n)
			b.doubt(b.place(at, to), fmt.Sprintf("pin %s of %s is %s larger than the hole of %s in %s that it must enter, %s of its diameter: read both again",
				spell.Name(pin.Dowel), b.say(pin.Diameter), b.say(squeeze), b.say(hole), spell.Name(m.Name), spell.Percent(float64(squeeze/pin.Diameter))), at+"/diameter", to+"/diameter")
		}
	}
}

// bushDoubts asks of every bush whether its bore less its journal is the clearance that is stated.
func (b *box) bushDoubts(shaft int) {
	for k, s := range b.stack.Shafts[shaft].Supports {
		part, i := b.holder(s.Bore)
		if part < 0 || s.Kind != align.Bush || !s.Journal.Given {
			continue
		}
		p := &b.parts[part]
		bore := p.Bores[i].Diameter
		if !bore.Given {
			continue
		}
		d := p.cold(bore.Value)
		left, stated := d-s.Journal.Value, s.Clearance.Length()
		if !exceeds(math.Abs(float64(left-stated)), bushShare*float64(max(left, stated)), float64(d)) {
			continue
		}
		at := fmt.Sprintf("/shafts/%d/supports/%d", shaft, k)
		to := fmt.Sprintf("%s/bores/%d", p.at, i)
		b.doubt(b.place(at, to), fmt.Sprintf("%s has a bore of %s on a journal of %s, which leaves %s, where its clearance is said to be %s: one of the three is wrong",
			spell.Name(s.Bore), b.say(d), b.say(s.Journal.Value), b.say(left), b.say(stated)), at+"/clearance", at+"/journal", to+"/diameter")
	}
}
