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
	var flags []flag
	for i, b := range t.blocks {
		label := spell.Name(s.Parts[i].Name)
		if len(t.blocks) >= manyFlags {
			label = strconv.Itoa(i + 1)
		}
		flags = append(flags, flag{x: t.px((b.from + b.to) / 2), text: label})
	}
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
	below := t.carriedFlags()
	c.behind(func() {
		for _, f := range below {
			c.line(faint, f.x, from, f.x, foot)
		}
	})
	c.flagsBelow(below, c.w-margin)
	c.y += 20
	c.scaleBar(margin, c.y, t.scale, false, "in every direction")
	c.y += 6
	partWords := t.partTable(len(t.blocks) >= manyFlags)
	c.y += 6
	jointWords := t.jointTable()
	if len(a.Supports) > 0 {
		c.y += 6
		t.carriedTable(len(a.Supports)+len(s.Pockets) >= manyFlags)
	}
	frame := "Side view from the left: nose left, tail right, 12 o'clock up. Clock positions are seen from the tail."
	scale := "Lengthwise and crosswise on one scale; printed " + spell.Trimmed(float64(o.Width), 0) + " mm wide it is " + spell.Trimmed(t.scale/unitsPerMM, 4) + " times life size. Deviations are too small to see here."
	key := "Outlines join the contact rings of the two faces and are not the castings' shape; a dashed end has no face in the record. Strokes across a joint: pins; thick strokes along it: the register; crossed squares: bearings; boxes: bushes; diamond: pocket; thick dashed line across: gasket."
	c.notes("Lengths in "+o.Unit.String()+".", frame, scale, key)
	c.describe(append(append([]string{frame}, append(partWords, jointWords...)...), scale)...)
	return write(w, c)
}

// carriedFlags label supports and pockets below the section.
func (t *section) carriedFlags() (out []flag) {
	label := labelled(len(t.a.Supports) + len(t.s.Pockets))
	for i := range t.a.Supports {
		out = append(out, flag{x: t.px(float64(t.a.Supports[i].Z)), text: label(i, t.a.Supports[i].Bore)})
	}
	for i := range t.s.Pockets {
		out = append(out, flag{x: t.px(float64(t.s.Pockets[i].Z)), text: label(len(t.a.Supports)+i, t.s.Pockets[i].Name)})
	}
	return out
}

// partTable lists the parts, and returns them in words.
func (t *section) partTable(numbered bool) []string {
	c := t.canvas
	cols := []column{{title: "part"}, {title: "from z", right: true, most: 80}, {title: "to z", right: true, most: 80}, {title: "thickness", right: true, most: 80}, {title: "thickest at", right: true, most: 80}, {title: turnedTitle(t.s), most: 110}}
	var cells [][]string
	var words []string
	for i, b := range t.blocks {
		p := &t.s.Parts[i]
		r := []string{spell.Name(p.Name), "-", "-", "-", "-", ""}
		if numbered {
			r[0] = strconv.Itoa(i+1) + " " + r[0]
		}
		if !b.openFrom {
			r[1] = c.p.Place(tolerance.Length(b.from))
		}
		if !b.openTo {
			r[2] = c.p.Place(tolerance.Length(b.to))
		}
		if shape, ok := shapeOf(t.a, p.Name); ok {
			r[3] = c.p.Bare(shape.Thickness)
			if shape.Wedge != (align.Slope{}) {
				r[4] = spell.Hand(shape.Wedge.Clock())
			}
		}
		if p.Turned {
			r[5] = "end for end"
		}
		cells = append(cells, r)
		words = append(words, "part "+r[0]+" from z "+r[1]+" to "+r[2])
	}
	c.table(cols, cells)
	return words
}

// turnedTitle heads the column that says which parts are mounted end for end; empty when none is.
func turnedTitle(s *align.Stack) string {
	for i := range s.Parts {
		if s.Parts[i].Turned {
			return "mounted"
		}
	}
	return ""
}

// jointTable lists the joints and what locates them, and returns them in words.
func (t *section) jointTable() []string {
	c := t.canvas
	if len(t.a.Joints) == 0 {
		return nil
	}
	cols := []column{{title: "joint"}, {title: "located by"}, {title: "lies", most: 90}}
	var cells [][]string
	var words []string
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
			located += ", over a gasket of " + c.p.Size(g.Thickness)
		}
		r := []string{spell.Name(j.Name), located, lies}
		cells = append(cells, r)
		words = append(words, "joint "+r[0]+" located by "+r[1]+", lies "+r[2])
	}
	c.table(cols, cells)
	return words
}

// carriedTable lists what carries the shafts.
func (t *section) carriedTable(numbered bool) {
	c := t.canvas
	cols := []column{{title: "support"}, {title: "shaft", most: 150}, {title: "z", right: true, most: 80}, {title: "kind", most: 80}, {title: "clearance", right: true, most: 80}}
	var cells [][]string
	label := func(s string) string {
		if numbered {
			return strconv.Itoa(len(cells)+1) + " " + spell.Name(s)
		}
		return spell.Name(s)
	}
	for i := range t.a.Supports {
		b := &t.a.Supports[i]
		cells = append(cells, []string{label(b.Bore), spell.Name(b.Shaft), c.p.Place(b.Z), [2]string{"bearing", "bush"}[min(b.Kind, 1)], c.p.Plain(b.Clearance.Length())})
	}
	for i := range t.s.Pockets {
		p := &t.s.Pockets[i]
		cells = append(cells, []string{label(p.Name), spell.Name(p.Between[0]) + ", " + spell.Name(p.Between[1]), c.p.Place(p.Z), "pocket", c.p.Plain(p.Clearance.Length())})
	}
	c.table(cols, cells)
}
