package draw

import (
	"io"
	"strconv"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// Stack draws the stack as it was understood, cut open along the shaft line and lengthwise as crosswise on one scale: parts between their faces, what locates every joint, supports, pockets and shafts. It is the picture to hold against the machine before any number is believed. Parts are drawn between contact rings, not in their true outline.
//
// a must be the result of s. It returns an error that wraps [fault.ErrConflict] when a is not of s, or a fault of the options.
func Stack(w io.Writer, s align.Stack, a *align.Assembly, o Options) error {
	o, err := o.check()
	if err != nil {
		return err
	}
	if err := belongs(&s, a); err != nil {
		return err
	}
	c := newCanvas(o, "The stack as understood", a.Title)
	c.head()
	t := newSection(c, &s, a)
	var mids, carried []float64
	var parts, carriers []string
	for i, b := range t.blocks {
		mids, parts = append(mids, t.px((b.from+b.to)/2)), append(parts, s.Parts[i].Name)
	}
	for i := range a.Supports {
		carried, carriers = append(carried, t.px(float64(a.Supports[i].Z))), append(carriers, a.Supports[i].Bore)
	}
	for i := range s.Pockets {
		carried, carriers = append(carried, t.px(float64(s.Pockets[i].Z))), append(carriers, s.Pockets[i].Name)
	}
	flags, partsNumbered := flagged(mids, parts, c.w-margin)
	c.flagsAbove(flags, c.w-margin)
	from := c.y
	t.axis = from + 10 + t.far*t.scale
	foot := t.axis + t.far*t.scale + 10
	for i, b := range t.blocks {
		c.line(thin, flags[i].x, from, flags[i].x, t.py(max(b.rFrom, b.rTo)*.9))
	}
	t.parts()
	t.joints()
	t.supports()
	c.y = foot
	below, carriersNumbered := flagged(carried, carriers, c.w-margin)
	c.behind(func() {
		for _, f := range below {
			c.line(faint, f.x, from, f.x, foot)
		}
	})
	c.flagsBelow(below, c.w-margin)
	c.y += 20
	c.scaleBar(margin, c.y, t.scale, false, "in every direction")
	c.y += 6
	var keys []keyLine
	if partsNumbered {
		keys = append(keys, keyLine{nil, "Parts: " + numberedList(parts)})
	}
	if carriersNumbered {
		keys = append(keys, keyLine{nil, "Supports and pockets: " + numberedList(carriers)})
	}
	keys = append(keys, t.governors(carriersNumbered)...)
	partWords, jointWords := t.partWords(), t.jointWords()
	for _, words := range jointWords {
		keys = append(keys, keyLine{nil, words})
	}
	c.y = c.keys(margin, c.y, keys)
	frame := "Side view from the left: nose left, tail right, 12 o'clock up. Clock positions are seen from the tail."
	scale := "Lengthwise and crosswise on one scale; printed " + spell.Trimmed(float64(o.Width), 0) + " mm wide it is " + spell.Trimmed(t.scale/unitsPerMM, 4) + " times life size. Deviations are too small to see here."
	key := "Outlines join the contact rings of the two faces and are not the castings' shape; a dashed end has no face in the record. Strokes across a joint: pins; thick strokes along it: the register; crossed squares: bearings; boxes: bushes; diamond: pocket; thick dashed line across: gasket."
	c.notes("Lengths in "+o.Unit.String()+".", frame, scale, key)
	c.describe(append(append([]string{frame}, append(partWords, jointWords...)...), scale)...)
	return write(w, c)
}

// governors marks what governs the shaft line, and returns the key to it.
func (t *section) governors(numbered bool) (keys []keyLine) {
	if t.a.Line == nil {
		return nil
	}
	var spots []spot
	var names []string
	add := func(name string, z tolerance.Length) {
		q := spot{name: name}
		q.govern(t.a.Line)
		spots, names = append(spots, q), append(names, name)
		if g := q.governs(); g != "" {
			t.titled("governs", name+" "+g, func() { t.triangle(mark, t.px(float64(z)), t.axis+14, 6) })
		}
	}
	for i := range t.a.Supports {
		add(t.a.Supports[i].Bore, t.a.Supports[i].Z)
	}
	for i := range t.s.Pockets {
		add(t.s.Pockets[i].Name, t.s.Pockets[i].Z)
	}
	return t.governing(spots, nameIn(names, numbered))
}

// partWords says where every part is.
func (t *section) partWords() (words []string) {
	at := func(v float64, open bool) string {
		if open {
			return "-"
		}
		return t.p.Place(tolerance.Length(v))
	}
	for i, b := range t.blocks {
		s := "part " + spell.Name(t.s.Parts[i].Name) + " from z " + at(b.from, b.openFrom) + " to " + at(b.to, b.openTo)
		if t.s.Parts[i].Turned {
			s += ", mounted end for end"
		}
		words = append(words, s)
	}
	return words
}

// jointWords says what locates every joint.
func (t *section) jointWords() (words []string) {
	for i := range t.a.Joints {
		j := &t.a.Joints[i]
		var by []string
		if j.Pilot != nil {
			by = append(by, "pilot")
		}
		for k := range j.Pins {
			by = append(by, "pin "+spell.Name(j.Pins[k].Dowel))
		}
		if n := len(t.s.Joints[i].Bolts); n > 0 {
			by = append(by, strconv.Itoa(n)+" bolts")
		}
		lies := [3]string{"anywhere", "at rest", "hanging"}[min(j.Lies, 2)]
		if j.Measured {
			lies = "as measured"
		}
		located := spell.Listed(by, 5)
		if g := t.s.Joints[i].Gasket; g != nil {
			located += ", over a gasket of " + t.p.Size(g.Thickness)
		}
		words = append(words, "joint "+spell.Name(j.Name)+" located by "+located+", lies "+lies)
	}
	return words
}
