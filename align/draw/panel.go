package draw

import (
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
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
	return [2]string{"Side view (12 o'clock up)", "Top view (3 o'clock up)"}[v]
}

// plotHeight is the greatest height of a view, in user units.
const plotHeight = 160

// frame maps millimetres to the picture: z to the right, deviations up.
type frame struct {
	x0, x1 float64 // of the plot
	z0     float64 // z at x0
	along  float64 // user units a millimetre, lengthwise
	larger float64 // how much larger crosswise lengths are drawn
	zero   float64 // y of the reference line, set for each view
	extent [2]span // of the views
}

func (f *frame) px(z float64) float64 { return f.x0 + (z-f.z0)*f.along }
func (f *frame) py(v float64) float64 { return f.zero - v*f.along*f.larger }

// newFrame fits a scene to the picture's width, with a round factor crosswise that both views share.
func newFrame(c *canvas, sc *scene) *frame {
	// names stand to the right of the last support where there is room for them
	f := &frame{x0: margin + 8, x1: c.w - margin - math.Max(8, math.Min(130, c.w/2-200))}
	z := nowhere()
	for _, q := range sc.spots {
		z.add(q.z-q.half, q.z+q.half)
		for v := range f.extent { // the reference line, at 0, is always shown
			o, t := view(v).of(q.x, q.y), view(v).of(q.tilt.X, q.tilt.Y)*q.half
			f.extent[v].add(o-math.Abs(t)-q.room, o+math.Abs(t)+q.room)
		}
	}
	for _, g := range sc.shafts {
		z.add(g.from, g.to)
		for _, at := range [2]float64{g.from, g.to} {
			x, y := g.at(at)
			f.extent[side].add(y)
			f.extent[top].add(x)
		}
	}
	for _, j := range sc.joints {
		z.add(j.z)
	}
	length := z.size()
	if !(length > 0) {
		length = 1
	}
	f.along = (f.x1 - f.x0) / (1.06 * length)
	f.z0 = z.lo - .03*length
	most := math.Max(f.extent[side].size(), f.extent[top].size())
	f.larger = fineDown(plotHeight / (most * f.along))
	if most == 0 {
		f.larger = 1000
	}
	return f
}

// open makes room for a view at c.y and sets its zero; it returns its foot.
func (f *frame) open(c *canvas, v view) float64 {
	const pad = 12
	c.put(halo, f.x0, c.y+smallPitch, smallSize, start, v.title())
	c.y += pad + smallPitch
	f.zero = c.y + f.extent[v].hi*f.along*f.larger
	return c.y + math.Max(f.extent[v].size()*f.along*f.larger, 40) + pad
}

var dashes = [...]string{"", "9 4", "3 3", "12 3 3 3"}

func (c *canvas) dashed(class string, i int, x1, y1, x2, y2 float64) {
	list := []string{"x1", num(x1), "y1", num(y1), "x2", num(x2), "y2", num(y2)}
	if d := dashes[i%len(dashes)]; d != "" {
		list = append(list, "stroke-dasharray", d)
	}
	c.element("line", class, list...)
}

// shafts draws every straight shaft, a little longer than what carries it.
func (c *canvas) shafts(f *frame, sc *scene, v view) {
	for i, g := range sc.shafts {
		c.titled("shaft", "straight shaft "+g.name, func() {
			over := 6 / f.along
			x0, y0 := g.at(g.from - over)
			x1, y1 := g.at(g.to + over)
			c.dashed(accent, i, f.px(g.from-over), f.py(v.of(x0, y0)), f.px(g.to+over), f.py(v.of(x1, y1)))
		})
	}
}

// bars draws the room of every spot as an upright bar about its centre: the shaft's axis has to pass between its ends. A bush
// has one at each mouth. The bars of a room that its shaft leaves are thick and red, with a cross where the shaft is; what
// governs has a triangle below its bar.
func (c *canvas) bars(f *frame, sc *scene, v view) {
	for _, q := range sc.spots {
		c.titled(spell.Either(q.pocket, "pocket", "support"), q.name, func() { c.bar(f, &q, v) })
		if q.governs() != "" {
			x, y := f.px(q.z), f.py(v.of(q.x, q.y)-q.room)
			c.titled("governs", q.name+" "+q.governs(), func() { c.triangle(mark, x, y+9, 6) })
		}
		g, ok := sc.shaft(q.shaft)
		if q.out == 0 || !ok {
			continue
		}
		c.titled("outside", q.name+": the shaft leaves its room by "+c.p.Length(tolerance.Length(q.out)), func() {
			for _, d := range q.ends() {
				x, y := g.at(q.z + d)
				c.cross(alarm, f.px(q.z+d), f.py(v.of(x, y)), 6)
			}
		})
	}
}

// ends are where along the shaft a spot has its bars, from its middle.
func (q *spot) ends() []float64 {
	if q.half > 0 {
		return []float64{-q.half, q.half}
	}
	return []float64{0}
}

// class is that of what shows the spot's room: red where its shaft leaves it.
func (q *spot) class(usual string) string {
	if q.out > 0 {
		return alarm
	}
	return usual
}

// bar is the room of one spot, and a mark at its centre.
func (c *canvas) bar(f *frame, q *spot, v view) {
	o, t := v.of(q.x, q.y), v.of(q.tilt.X, q.tilt.Y)
	if q.half > 0 {
		for _, r := range [2]float64{-q.room, q.room} {
			c.line(thin, f.px(q.z-q.half), f.py(o-t*q.half+r), f.px(q.z+q.half), f.py(o+t*q.half+r))
		}
	}
	class := q.class(ink)
	for _, d := range q.ends() {
		const tick = 6
		x, y0, y1 := f.px(q.z+d), f.py(o+t*d+q.room), f.py(o+t*d-q.room)
		c.line(class, x, y0, x, y1)
		c.line(class, x-tick, y0, x+tick, y0)
		c.line(class, x-tick, y1, x+tick, y1)
	}
	switch x, y := f.px(q.z), f.py(o); {
	case q.pocket:
		c.diamond(hollow, x, y, 4.5)
	case q.half > 0:
		c.rect(solid, x-3, y-3, 6, 6)
	default:
		c.circle(solid, x, y, 3.3)
	}
}

// flagged are flags that name spots: by number, with a key, where they are many or a name would be cut.
func flagged(spots []spot, px func(float64) float64, right float64) (out []flag, numbered bool) {
	const many = 9
	numbered = len(spots) >= many
	for _, q := range spots {
		w, _ := textWidth(spell.Name(q.name), smallSize, false)
		numbered = numbered || px(q.z)+flagOff+w > right
	}
	for i, q := range spots {
		out = append(out, flag{x: px(q.z), text: nameIn(spots, numbered)(i)})
	}
	return out, numbered
}

// governing explains what governs, a line for each thing that is decided; nameOf says which spot it is.
func (c *canvas) governing(spots []spot, nameOf func(i int) string) {
	by := map[string][]string{}
	for i, q := range spots {
		if g := q.governs(); g != "" {
			by[g] = append(by[g], nameOf(i))
		}
	}
	for _, g := range slices.Sorted(maps.Keys(by)) {
		c.explain(func(x, y float64) { c.triangle(mark, x, y, 6) }, g+": "+spell.List(by[g]))
	}
}

// explainSpots explains the spots: their numbers, what governs, and where a shaft leaves its room.
func (c *canvas) explainSpots(sc *scene, numbered bool) {
	if numbered {
		c.explain(nil, numberedList(sc.spots))
	}
	nameOf := nameIn(sc.spots, numbered)
	c.governing(sc.spots, nameOf)
	for i, q := range sc.spots {
		if q.out > 0 {
			c.explain(func(x, y float64) { c.cross(alarm, x, y, 6) }, "THE SHAFT LEAVES ITS ROOM at "+nameOf(i)+" by "+c.p.Length(tolerance.Length(q.out)))
		}
	}
}

// nameIn names what flags name: by its number where they are numbered.
func nameIn(spots []spot, numbered bool) func(i int) string {
	return func(i int) string {
		if numbered {
			return strconv.Itoa(i + 1)
		}
		return spell.Name(spots[i].name)
	}
}

// numberedList is "1 case, 2 plate".
func numberedList(spots []spot) string {
	var out []string
	for i, q := range spots {
		out = append(out, strconv.Itoa(i+1)+" "+spell.Name(q.name))
	}
	return strings.Join(out, ", ")
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

func jointFlags(f *frame, sc *scene, a *align.Assembly, p speller) []flag {
	var out []flag
	for i, j := range sc.joints {
		s := spell.Name(j.name)
		switch g := &a.Joints[i]; {
		case !g.Assembles:
			s += ": does not assemble"
		case j.gap:
			s += ": gap " + p.Length(g.Gap.Greatest)
		}
		out = append(out, flag{x: f.px(j.z), text: s})
	}
	return out
}

// scales writes the two scale bars, in one row where there is room.
func (c *canvas) scales(f *frame) {
	c.y += barLength + 12
	w := c.scaleBar(f.x0, c.y, f.along, false, "lengthwise")
	x := f.x0 + w + 20
	if x+125 > c.w-margin {
		x, c.y = f.x0, c.y+barLength+12
	}
	c.scaleBar(x, c.y, f.along*f.larger, true, "crosswise")
	c.y += 6
}

func (f *frame) scaleWords() string {
	return "Crosswise lengths are drawn " + times(f.larger) + " larger than lengthwise ones, in both views alike"
}

const viewWords = "Nose left, tail right. Side view from the left, 12 o'clock up; top view from above, 3 o'clock up. Clock positions are seen from the tail, 12 o'clock up."
