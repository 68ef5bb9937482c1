package draw

import (
	"io"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// ShaftLine draws the shaft line in side and top view: the bore centres where they lie, as deviations from the main reference line; the room that each leaves the axis of its shaft; the best straight shafts; pockets and joints. Below stand the numbers, as the report gives them.
//
// a must be the result of s. It returns [ErrNothingToDraw] for a stack without shafts, an error that wraps [fault.ErrConflict] when a is not of s, or a fault of the options.
func ShaftLine(w io.Writer, s align.Stack, a *align.Assembly, o Options) error {
	o, sc, err := sceneOf("shaft line", &s, a, o)
	if err != nil {
		return err
	}
	c := newCanvas(o, "Shaft line", a.Title)
	answer, floats := lineWords(c.p, a)
	c.head(append([]string{answer, floats}, warnings(a)...)...)

	f := newFrame(c, sc)
	label := labelled(len(sc.supports) + len(sc.pockets))
	flags := supportFlags(f, sc, label)
	c.flagsAbove(flags, c.w-margin)
	from := c.y
	for _, v := range [2]view{side, top} {
		foot := f.open(c, v)
		c.line(chain, f.x0, f.zero, f.x1, f.zero)
		c.bars(f, sc, v)
		c.shafts(f, sc, v)
		list := []tag{{f.zero, sc.short, c.stroke(chain)}}
		for i, g := range sc.shafts {
			x, y := g.at(g.to)
			list = append(list, tag{f.py(v.of(x, y)), "shaft " + spell.Name(g.name), func(x, y float64) { c.dashed(accent, i, x-10, y, x+10, y) }})
		}
		c.put(muted, f.x1+8, c.y-1, smallSize, start, v.title())
		c.y = max(foot, c.tags(list, f.x1, c.y+4, foot))
		if v == side {
			c.line(faint, f.x0, c.y, f.x1, c.y)
		}
	}
	c.guides(flags, f, sc, from, c.y)
	c.flagsBelow(jointFlags(f, sc, a, c.p), c.w-margin)
	c.scales(f)

	c.supportTable(&s, a, sc, len(sc.supports)+len(sc.pockets) >= manyFlags)
	key := "Marks: dot, bearing; square, bush, barred at both mouths; diamond, pocket; upright bar, the room in which the axis of the shaft has to stay (clearance less the journal's runout, halved); dotted line, joint; long and short dashes, the reference line."
	c.notes(viewWords, f.scaleWords()+". A bar that the line of its shaft leaves means no room there.", key)
	c.describe(append([]string{viewWords, answer, floats, f.scaleWords()}, append(supportWords(c.p, a), warnings(a)...)...)...)
	return write(w, c)
}

// sceneOf checks options and results and reads the scene.
func sceneOf(picture string, s *align.Stack, a *align.Assembly, o Options) (Options, *scene, error) {
	o, err := o.check()
	if err != nil {
		return o, nil, err
	}
	if err := belongs(s, a); err != nil {
		return o, nil, err
	}
	if a.Line == nil {
		return o, nil, nothing(picture, "the stack has no shafts")
	}
	sc, err := newScene(s, a)
	return o, sc, err
}

// lineWords says whether straight shafts have room, and the range over the float; nothing of room where a joint does not
// assemble.
func lineWords(p speller, a *align.Assembly) (answer, floats string) {
	if len(warnings(a)) > 0 {
		return "It does not assemble, so nothing can be said of its shafts.", ""
	}
	l := a.Line
	switch {
	case !l.Use.Given:
		answer = "Straight shafts have no room: no straight line passes through the supports that leave none"
	case l.RunsFree:
		answer = "Straight shafts have room: margin " + p.Length(l.Margin) + " (radial), " + spell.Percent(l.Use.Value) + " of every clearance needed"
	default:
		answer = "Straight shafts have no room: the clearances lack " + p.Length(-l.Margin) + " (radial), " + spell.Percent(l.Use.Value) + " of every clearance needed"
	}
	answer += "."
	if by := governors(l.Governs); len(by) > 0 {
		answer += " What drives that use: " + spell.Listed(by, 4) + "."
	}
	if by := governors(l.MarginGoverns); len(by) > 0 {
		answer += " What caps the margin: " + spell.Listed(by, 4) + "."
	}
	if r := l.OverFloat; r != nil {
		floats = "Drawn where the joints lie or rest. Over the float of all joints the margin is " + p.Plain(r.WorstMargin) + " to " + p.Length(r.BestMargin) + "."
	}
	return answer, floats
}

// governors are the names of supports and pockets that govern.
func governors(list []tolerance.Share) []string {
	var out []string
	for _, g := range list {
		out = append(out, spell.Name(g.Name))
	}
	return out
}

// warnings says of every joint that does not assemble that what is drawn could not be.
func warnings(a *align.Assembly) []string {
	var out []string
	for i := range a.Joints {
		if j := &a.Joints[i]; !j.Assembles {
			out = append(out, "DOES NOT ASSEMBLE: "+spell.Name(j.Name)+"; drawn as if its clearances were opened by what they lack.")
		}
	}
	return out
}

// supportTable is the numbers of every support.
func (c *canvas) supportTable(s *align.Stack, a *align.Assembly, sc *scene, numbered bool) {
	u := ", " + c.o.Unit.String()
	cols := []column{{title: "support"}, {title: "shaft", most: 90}, {title: "z" + u, right: true, most: 70}, {title: "offset", right: true, most: 70}, {title: "at", right: true, most: 40}, {title: "TIR", right: true, most: 70}, {title: "clearance", right: true, most: 70}, {title: "room", right: true, most: 70}}
	var cells [][]string
	label := func(n string) string {
		if numbered {
			return spell.Trimmed(float64(len(cells)+1), 0) + " " + spell.Name(n)
		}
		return spell.Name(n)
	}
	for i := range a.Supports {
		b := &a.Supports[i]
		room := "-"
		if b.Room.Given {
			room = c.p.Plain(b.Room.Value)
		}
		cells = append(cells, []string{
			label(b.Bore), spell.Name(b.Shaft), c.p.Place(b.Z), c.p.Plain(b.Offset.Size()), c.p.clock(b.Offset),
			c.p.Plain(2 * b.Offset.Size()), c.p.Plain(b.Clearance.Length()), room,
		})
	}
	for i := range s.Pockets {
		p := &s.Pockets[i]
		cells = append(cells, []string{label(p.Name), spell.Name(p.Between[0]) + ", " + spell.Name(p.Between[1]), c.p.Place(p.Z), "-", "-", "-", c.p.Plain(p.Clearance.Length()), "-"})
	}
	c.table(cols, cells)
	c.notes("Lengths in " + c.o.Unit.String() + ". Offset is centre to centre from " + sc.reference + ", TIR twice that; clearance is diametral; room is how far that bore alone may move before no straight shaft has room (\"-\": none, or no bound).")
}

// supportWords is a sentence for every support, for those who cannot see the picture.
func supportWords(p speller, a *align.Assembly) []string {
	var out []string
	for i := range a.Supports {
		b := &a.Supports[i]
		out = append(out, spell.Name(b.Bore)+": z "+p.Place(b.Z)+", offset "+p.offset(b.Offset)+", clearance "+p.Length(b.Clearance.Length())+" diametral")
	}
	return out
}
