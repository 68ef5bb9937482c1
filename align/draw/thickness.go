package draw

import (
	"io"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
)

// mapRadius is the greatest of a thickness map with its labels, in user units. The ring of the mean thickness and how far the
// greatest deviation may reach from it are shares of what is left.
const (
	mapRadius  = 162.0
	ringShare  = 104 / mapRadius
	depthShare = 46 / mapRadius
)

// Thickness draws a part's thickness round the clock, as mounted and as seen from the tail: every station's deviation from the mean, amplified; the fitted plane, whose thickest side is the wedge's; the thickest and thinnest station; and what the harmonics of the residual say. A part that was not read with a micrometer has its plane alone.
//
// a must be the result of s. It returns an error that wraps [fault.ErrUnknownName] for a part that the stack does not have, [ErrNothingToDraw] for one without two faces, [fault.ErrConflict] when a is not of s, or a fault of the options.
func Thickness(w io.Writer, s align.Stack, a *align.Assembly, part string, o Options) error {
	o, err := o.check()
	if err != nil {
		return err
	}
	if err := belongs(&s, a); err != nil {
		return err
	}
	at := slices.IndexFunc(s.Parts, func(p align.Part) bool { return p.Name == part })
	if at < 0 {
		return unknown("/part", part, "part", namesOf(s.Parts, func(p *align.Part) string { return p.Name }))
	}
	shape, ok := shapeOf(a, part)
	if !ok {
		return nothing("thickness", spell.Name(part)+" does not have two faces")
	}
	c := newCanvas(o, "Thickness of "+spell.Name(part), a.Title)
	m := newPlate(c, &s.Parts[at], shape)
	answer := plateWords(c.p, shape)
	c.head(answer)
	m.cx, m.cy = margin+m.radius+40, c.y+m.radius+18
	x, y := c.beside(m.cx+m.radius+44, m.cy-m.ring-m.deepest, m.cy+m.radius+24)
	keys := m.draw()
	foot := m.harmonics(x, c.keys(x, y, keys)+6, readingsOf(a, at))
	c.y = math.Max(m.cy+m.radius+18, foot)
	c.y += 14
	c.scaleBar(margin, c.y, m.scale, false, "of thickness, outwards")
	c.y += 4
	scale := "The ring stands for the mean thickness; deviations are drawn " + times(m.larger) + " larger than the ring of the readings"
	if m.stations == 0 {
		scale = "The ring stands for the mean thickness; printed " + spell.Trimmed(float64(o.Width), 0) + " mm wide, deviations are drawn " + times(m.scale/unitsPerMM) + " life size"
	}
	frame := "Seen from the tail, 12 o'clock of the part up, as mounted."
	if s.Parts[at].Turned {
		frame += " It is mounted end for end: its readings were taken in the mirror image."
	}
	c.notes(scale+".", frame+" Two points of a micrometer see thickness alone: neither flatness nor bow.")
	c.describe(frame, answer, keyWords(keys), scale)
	return write(w, c)
}

// plateWords is the wedge in words.
func plateWords(p speller, shape align.PartShape) string {
	s := "Thickness " + p.Size(shape.Thickness) + " on its axis"
	if size := shape.Wedge.Size(); size > 0 {
		s += "; wedge " + p.slope(size) + ", thickest at " + spell.Hand(shape.Wedge.Clock())
		if shape.Rise.Given && shape.Across.Given {
			s += ", by " + p.Length(shape.Rise.Value) + " across " + p.Size(shape.Across.Value)
		}
	} else {
		s += "; no wedge"
	}
	return s + "."
}
