package draw

import (
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
)

// view is one of the two projections along the shaft line.
type view uint8

const (
	side view = iota // from the left: 12 o'clock up
	top              // from above: 3 o'clock up
)

func (v view) of(x, y float64) float64 {
	if v == side {
		return y
	}
	return x
}

func (v view) title() string {
	if v == side {
		return "Side view (12 o'clock up)"
	}
	return "Top view (3 o'clock up)"
}

// plotHeight is the greatest height of a view, in user units.
const plotHeight = 170

// tagColumn is the width of the column of labels to the right of the views.
const tagColumn = 150

// frame maps millimetres to the picture: z to the right, deviations up.
type frame struct {
	x0, x1     float64 // of the plot
	z0         float64 // z at x0
	along      float64 // user units a millimetre, lengthwise
	larger     float64 // how much larger crosswise lengths are drawn
	zero       float64 // y of the reference line, set for each view
	extentSide span
	extentTop  span
}

func (f *frame) px(z float64) float64 { return f.x0 + (z-f.z0)*f.along }
func (f *frame) py(v float64) float64 { return f.zero - v*f.along*f.larger }

// newFrame fits scenes to the picture's width, with a round factor crosswise that both views share.
func newFrame(c *canvas, scenes ...*scene) *frame {
	f := &frame{x0: margin + 8, x1: c.w - margin - tagColumn}
	z := nowhere()
	spans := [2]span{{}, {}} // the reference line, at 0, is always shown
	for _, sc := range scenes {
		for _, q := range sc.supports {
			z.add(q.z-q.half, q.z+q.half)
			for v := range spans {
				o, t := view(v).of(q.x, q.y), view(v).of(q.tilt.X, q.tilt.Y)*q.half
				spans[v].add(o-math.Abs(t)-q.room, o+math.Abs(t)+q.room)
			}
		}
		for _, g := range sc.shafts {
			z.add(g.from, g.to)
			for _, at := range [2]float64{g.from, g.to} {
				x, y := g.at(at)
				spans[side].add(y)
				spans[top].add(x)
			}
		}
		for _, p := range sc.pockets {
			z.add(p.z)
			if p.in >= 0 {
				x, y := sc.shafts[p.in].at(p.z)
				spans[side].add(y-p.room, y+p.room)
				spans[top].add(x-p.room, x+p.room)
			}
		}
		for _, j := range sc.joints {
			z.add(j.z)
		}
	}
	length := z.size()
	if !(length > 0) {
		length = 1
	}
	f.along = (f.x1 - f.x0) / (1.06 * length)
	f.z0 = z.lo - .03*length
	f.larger = fineDown(plotHeight / (math.Max(spans[side].size(), spans[top].size()) * f.along))
	if spans[side].size() == 0 && spans[top].size() == 0 {
		f.larger = 1000
	}
	f.extentSide, f.extentTop = spans[side], spans[top]
	return f
}

// open makes room for a view at c.y and sets its zero; it returns its foot.
func (f *frame) open(c *canvas, v view) float64 {
	e := f.extentSide
	if v == top {
		e = f.extentTop
	}
	const pad = 12
	c.y += pad
	f.zero = c.y + e.hi*f.along*f.larger
	return c.y + math.Max(e.size()*f.along*f.larger, 40) + pad
}

// pen is how one scene is drawn: classes of marks and lines.
type pen struct {
	line, bar, end, fill string
}

// tickHalf is half the width of the marks at the ends of a room.
const tickHalf = 6

var plainPen = pen{line: accent, bar: ink, end: ink, fill: solid}

// dashes tell shafts apart, in turn.
var dashes = [...]string{"", "9 4", "3 3", "12 3 3 3"}

// dashed is a line of the i-th shaft.
func (c *canvas) dashed(class string, i int, x1, y1, x2, y2 float64) {
	list := []string{"x1", num(x1), "y1", num(y1), "x2", num(x2), "y2", num(y2)}
	if d := dashes[i%len(dashes)]; d != "" && class != old {
		list = append(list, "stroke-dasharray", d)
	}
	c.element("line", class, list...)
}

// shafts draws every straight shaft, a little longer than what carries it.
func (c *canvas) shafts(f *frame, sc *scene, v view, p pen) {
	for i, g := range sc.shafts {
		c.titled("shaft", "straight shaft "+g.name, func() {
			over := 6 / f.along
			x0, y0 := g.at(g.from - over)
			x1, y1 := g.at(g.to + over)
			c.dashed(p.line, i, f.px(g.from-over), f.py(v.of(x0, y0)), f.px(g.to+over), f.py(v.of(x1, y1)))
		})
	}
}

// bars draws the room of every support as an upright bar about its bore centre: the shaft's axis has to pass between its ends. A bush has one at each mouth.
func (c *canvas) bars(f *frame, sc *scene, v view, p pen) {
	for _, q := range sc.supports {
		o, t := v.of(q.x, q.y), v.of(q.tilt.X, q.tilt.Y)
		c.titled("support", q.name, func() {
			ends := []float64{0}
			if q.half > 0 {
				ends = []float64{-q.half, q.half}
				for _, r := range [2]float64{-q.room, q.room} {
					c.line(thin, f.px(q.z-q.half), f.py(o-t*q.half+r), f.px(q.z+q.half), f.py(o+t*q.half+r))
				}
			}
			for _, d := range ends {
				c.room(p, f.px(q.z+d), f.py(o+t*d+q.room), f.py(o+t*d-q.room))
			}
			x, y := f.px(q.z), f.py(o)
			if q.half > 0 {
				c.rect(p.fill, x-3, y-3, 6, 6)
			} else {
				c.circle(p.fill, x, y, 3.3)
			}
		})
	}
	for _, k := range sc.pockets {
		if k.in < 0 {
			continue
		}
		x, y := sc.shafts[k.in].at(k.z)
		c.titled("pocket", k.name, func() {
			o := v.of(x, y)
			c.room(p, f.px(k.z), f.py(o+k.room), f.py(o-k.room))
			c.diamond(hollow, f.px(k.z), f.py(o), 4.5)
		})
	}
}

// room is one bar with its end strokes.
func (c *canvas) room(p pen, x, y0, y1 float64) {
	c.line(p.bar, x, y0, x, y1)
	c.line(p.end, x-tickHalf, y0, x+tickHalf, y0)
	c.line(p.end, x-tickHalf, y1, x+tickHalf, y1)
}

// manyFlags is the number of supports from which they are flagged by number, not by name.
const manyFlags = 9

// supportFlags label supports and pockets above the views.
func supportFlags(f *frame, sc *scene, label func(i int, s string) string) []flag {
	var out []flag
	for i, q := range sc.supports {
		out = append(out, flag{x: f.px(q.z), text: label(i, q.name)})
	}
	for i, k := range sc.pockets {
		out = append(out, flag{x: f.px(k.z), text: label(len(sc.supports)+i, k.name)})
	}
	return out
}

// labelled is how supports are named in the views: by name, or by number where there are many.
func labelled(count int) func(i int, s string) string {
	if count < manyFlags {
		return func(_ int, s string) string { return spell.Name(s) }
	}
	return func(i int, _ string) string { return spell.Trimmed(float64(i+1), 0) }
}

// guides draws a light line at every flag and a dotted one at every joint, down to y.
func (c *canvas) guides(flags []flag, f *frame, sc *scene, from, to float64) {
	c.behind(func() {
		for _, g := range flags {
			c.line(faint, g.x, from, g.x, to)
		}
		for _, j := range sc.joints {
			c.titled("joint", j.name, func() { c.line(dots, f.px(j.z), from, f.px(j.z), to) })
		}
	})
}

// jointFlags label joints below the views.
func jointFlags(f *frame, sc *scene, a *align.Assembly, p speller) []flag {
	var out []flag
	for i, j := range sc.joints {
		s := spell.Name(j.name)
		switch g := &a.Joints[i]; {
		case !g.Assembles:
			s += ": does not assemble"
		case j.gap:
			s += ": gap " + p.length(g.Gap.Greatest)
		}
		out = append(out, flag{x: f.px(j.z), text: s})
	}
	return out
}

// scales writes the two scale bars in one row.
func (c *canvas) scales(f *frame) {
	c.y += barLength + 12
	w, _ := c.scaleBar(f.x0, c.y, f.along, false, "lengthwise")
	c.scaleBar(f.x0+w+40, c.y, f.along*f.larger, true, "crosswise")
	c.y += 6
}

// scaleWords says how much larger crosswise lengths are drawn.
func (f *frame) scaleWords() string {
	return "Crosswise lengths are drawn " + times(f.larger) + " larger than lengthwise ones, in both views alike"
}

// viewWords says from where the views are seen.
const viewWords = "Nose left, tail right. Side view from the left, 12 o'clock up; top view from above, 3 o'clock up. Clock positions are seen from the tail, 12 o'clock up."
