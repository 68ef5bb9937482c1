package draw

import (
	"encoding/xml"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align/internal/spell"
)

// Type sizes, in user units.
const (
	titleSize = 17.0
	bodySize  = 12.0
	smallSize = 11.0
)

// margin is kept free round the picture.
const margin = 16.0

// box is the extent of a text.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) overlaps(c box) bool {
	return b.x0 < c.x1 && c.x0 < b.x1 && b.y0 < c.y1 && c.y0 < b.y1
}

// anchor says which end of a text is at its point.
type anchor string

const (
	start  anchor = "start"
	middle anchor = "middle"
	end    anchor = "end"
)

// canvas collects the elements of one picture. y runs down; it is where the next block goes. Elements are drawn in turn, those of behind before all others, texts after them.
type canvas struct {
	o           Options
	p           speller
	title       string
	of          string // what it is a picture of, under the title
	desc        string
	w, y        float64
	edge        float64          // where texts that must find their place end: a key stands to the right
	marks       *strings.Builder // where elements go
	under, over strings.Builder
	texts       strings.Builder
	boxes       []box
	key         []keyLine // what the picture explains, until keys writes it
}

func newCanvas(o Options, title, of string) *canvas {
	c := &canvas{o: o, p: speller{spell.Lengths{Unit: o.Unit, Gauge: true}}, title: title, of: of, w: float64(o.Width) * unitsPerMM, y: margin}
	c.marks, c.edge = &c.over, c.w-margin/2
	return c
}

// num prints a coordinate to a hundredth of a unit, 2.5 micrometres of paper.
func num(v float64) string {
	if s := strings.TrimRight(strings.TrimRight(strconv.FormatFloat(v, 'f', 2, 64), "0"), "."); s != "-0" {
		return s
	}
	return "0"
}

func escape(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(s)) // a strings.Builder never fails
	return b.String()
}

// element writes <tag class ... />; attributes come in pairs.
func (c *canvas) element(tag, class string, attributes ...string) {
	c.marks.WriteString("<" + tag + ` class="` + c.o.ID + "-" + class + `"`)
	for i := 0; i+1 < len(attributes); i += 2 {
		c.marks.WriteString(" " + attributes[i] + `="` + attributes[i+1] + `"`)
	}
	c.marks.WriteString("/>\n")
}

// titled wraps what draw draws in a group of that kind with a title, which a pointer shows and a program can find.
func (c *canvas) titled(kind, title string, draw func()) {
	c.marks.WriteString(`<g class="` + c.o.ID + "-" + kind + `"><title>` + escape(spell.Clean(title)) + "</title>\n")
	draw()
	c.marks.WriteString("</g>\n")
}

func (c *canvas) behind(draw func()) {
	c.marks = &c.under
	draw()
	c.marks = &c.over
}

func (c *canvas) line(class string, x1, y1, x2, y2 float64) {
	c.element("line", class, "x1", num(x1), "y1", num(y1), "x2", num(x2), "y2", num(y2))
}

func (c *canvas) circle(class string, x, y, r float64) {
	c.element("circle", class, "cx", num(x), "cy", num(y), "r", num(r))
}

func (c *canvas) rect(class string, x, y, w, h float64) {
	c.element("rect", class, "x", num(x), "y", num(y), "width", num(w), "height", num(h))
}

// path draws through points, x and y in turn.
func (c *canvas) path(class string, closed bool, points ...float64) {
	var b strings.Builder
	for i := 0; i+1 < len(points); i += 2 {
		b.WriteString(spell.Either(i == 0, "M", "L") + num(points[i]) + " " + num(points[i+1]))
	}
	if closed {
		b.WriteString("Z")
	}
	c.element("path", class, "d", b.String())
}

// arrow is a line with a head at its second end; a line shorter than its head is drawn as the head alone.
func (c *canvas) arrow(class, head string, x1, y1, x2, y2 float64) {
	const long, half = 9, 3.5
	l := math.Hypot(x2-x1, y2-y1)
	if l == 0 {
		return
	}
	ux, uy := (x2-x1)/l, (y2-y1)/l
	bx, by := x2-long*ux, y2-long*uy
	if l > long {
		c.line(class, x1, y1, bx, by)
	}
	c.path(head, true, x2, y2, bx-half*uy, by+half*ux, bx+half*uy, by-half*ux)
}

func (c *canvas) diamond(class string, x, y, r float64) {
	c.path(class, true, x, y-r, x+r, y, x, y+r, x-r, y)
}

func (c *canvas) triangle(class string, x, y, r float64) {
	c.path(class, true, x, y-r, x+.87*r, y+.5*r, x-.87*r, y+.5*r)
}

func (c *canvas) cross(class string, x, y, r float64) {
	c.line(class, x-r, y-r, x+r, y+r)
	c.line(class, x-r, y+r, x+r, y-r)
}

// extent is the box of a text with its baseline at y.
func extent(s string, x, y, size float64, at anchor, bold bool) (b box, exact bool) {
	w, exact := textWidth(s, size, bold)
	switch at {
	case middle:
		x -= w / 2
	case end:
		x -= w
	}
	// ascent and descent of the widest typeface, accents included
	return box{x, y - .95*size, x + w, y + .25*size}, exact
}

// put writes a text and takes its place.
func (c *canvas) put(class string, x, y, size float64, at anchor, s string) {
	s = spell.Clean(s)
	if strings.TrimSpace(s) == "" {
		return
	}
	bold := size == titleSize
	b, exact := extent(s, x, y, size, at, bold)
	c.boxes = append(c.boxes, b)
	c.texts.WriteString(`<text class="` + c.o.ID + "-" + class + `" x="` + num(x) + `" y="` + num(y) + `" font-size="` + num(size) + `"`)
	if at != start {
		c.texts.WriteString(` text-anchor="` + string(at) + `"`)
	}
	if bold {
		c.texts.WriteString(` font-weight="bold"`)
	}
	if !exact {
		c.texts.WriteString(` textLength="` + num(b.x1-b.x0) + `" lengthAdjust="spacingAndGlyphs"`)
	}
	c.texts.WriteString(">" + escape(s) + "</text>\n")
}

// fits reports whether a box is on the picture and free of text.
func (c *canvas) fits(b box) bool {
	if b.x0 < margin/2 || b.x1 > c.edge || b.y0 < margin/2 {
		return false
	}
	return !slices.ContainsFunc(c.boxes, b.overlaps)
}

// try writes a text only where its place is free, and says whether it did.
func (c *canvas) try(class string, x, y, size float64, at anchor, s string) bool {
	b, _ := extent(spell.Clean(s), x, y, size, at, false)
	if !c.fits(b) {
		return false
	}
	c.put(class, x, y, size, at, s)
	return true
}

func (c *canvas) finish() string {
	id, h := c.o.ID, c.y+margin
	var b strings.Builder
	b.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" id="` + id + `" role="img" aria-labelledby="` + id + "-title " + id + `-desc" width="` + num(c.w/unitsPerMM) + `mm" height="` + num(h/unitsPerMM) + `mm" viewBox="0 0 ` + num(c.w) + " " + num(h) + `" style="max-width:100%;height:auto" font-family="` + typeface + "\">\n")
	title := c.title
	title += spell.If(strings.TrimSpace(spell.Clean(c.of)) != "", ": "+c.of)
	b.WriteString(`<title id="` + id + `-title">` + escape(spell.Clean(title)) + "</title>\n")
	b.WriteString(`<desc id="` + id + `-desc">` + escape(spell.Clean(c.desc)) + "</desc>\n")
	b.WriteString("<style>\n" + css(id) + "</style>\n")
	marks := c.under.String() + c.over.String()
	if strings.Contains(marks, `class="`+id+"-"+hatch+`"`) {
		b.WriteString(`<defs><pattern id="` + id + `-hatch" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect class="` + id + "-" + paper + `" width="5" height="5"/><line class="` + id + "-" + ink + `" x1="0" y1="0" x2="0" y2="5"/></pattern></defs>` + "\n")
	}
	b.WriteString(`<rect class="` + id + "-" + paper + `" width="` + num(c.w) + `" height="` + num(h) + "\"/>\n")
	b.WriteString(marks)
	b.WriteString(c.texts.String())
	b.WriteString("</svg>\n")
	return b.String()
}

// Classes of elements. Colour only repeats what dash, weight, shape and label say.
const (
	paper  = "paper"  // the picture's own background
	ink    = "ink"    // outlines
	thin   = "thin"   // secondary lines
	faint  = "faint"  // guides and grids
	dash   = "dash"   // secondary, dashed
	dots   = "dots"   // joints, ends of a range
	chain  = "chain"  // reference line: long, short
	heavy  = "heavy"  // limits
	accent = "accent" // the answer: straight shafts, wedge
	alarm  = "alarm"  // a shaft out of its room
	solid  = "solid"  // filled marks
	hollow = "hollow" // open marks
	mark   = "mark"   // filled marks of the answer
	pale   = "pale"   // fields
	bar    = "bar"    // bars
	hatch  = "hatch"  // bars outside a limit
	text   = "text"
	muted  = "muted"
	warn   = "warn" // text that must not be missed
	halo   = "halo" // text over lines
)

// look is a class's rules, light and dark. %[1]s is the prefix of ids.
type look struct{ class, light, dark string }

var looks = [...]look{
	{paper, "fill:#fff;stroke:none", "fill:#15181d;stroke:none"},
	{ink, "fill:none;stroke:#1b1f24;stroke-width:1.3", "stroke:#e6e9ed"},
	{thin, "fill:none;stroke:#59616c;stroke-width:.9", "stroke:#a5aebb"},
	{faint, "fill:none;stroke:#d3d8de;stroke-width:.7", "stroke:#363d47"},
	{dash, "fill:none;stroke:#59616c;stroke-width:1;stroke-dasharray:5 3", "stroke:#a5aebb"},
	{dots, "fill:none;stroke:#59616c;stroke-width:1.2;stroke-dasharray:1.2 3;stroke-linecap:round", "stroke:#a5aebb"},
	{chain, "fill:none;stroke:#59616c;stroke-width:.9;stroke-dasharray:12 3 2 3", "stroke:#a5aebb"},
	{heavy, "fill:none;stroke:#1b1f24;stroke-width:2.2;stroke-dasharray:8 4", "stroke:#e6e9ed"},
	{accent, "fill:none;stroke:#0a5fb4;stroke-width:2.2", "stroke:#74b6ff"},
	{alarm, "fill:none;stroke:#a51d24;stroke-width:3", "stroke:#ff9a94"},
	{solid, "fill:#1b1f24;stroke:none", "fill:#e6e9ed"},
	{hollow, "fill:#fff;stroke:#1b1f24;stroke-width:1.3", "fill:#15181d;stroke:#e6e9ed"},
	{mark, "fill:#0a5fb4;stroke:#fff;stroke-width:.8", "fill:#74b6ff;stroke:#15181d"},
	{pale, "fill:#edf0f4;stroke:none", "fill:#242a32"},
	{bar, "fill:#b9c6d4;stroke:#1b1f24;stroke-width:.6", "fill:#465463;stroke:#e6e9ed"},
	{hatch, "fill:url(#%[1]s-hatch);stroke:#1b1f24;stroke-width:.9", "stroke:#e6e9ed"},
	{text, "fill:#1b1f24;stroke:none", "fill:#e6e9ed"},
	{muted, "fill:#4a525d;stroke:none", "fill:#b3bcc8"},
	{warn, "fill:#a51d24;stroke:none", "fill:#ff9a94"},
	{halo, "fill:#1b1f24;stroke:#fff;stroke-width:3;stroke-linejoin:round;paint-order:stroke", "fill:#e6e9ed;stroke:#15181d"},
}

// typeface names the open typefaces whose widths layout.go covers; the usual sans serif faces have the widths of the first.
const typeface = "'Liberation Sans','DejaVu Sans',sans-serif"

// css is the picture's style sheet: simple class selectors, which every viewer knows; dark on screens where the reader prefers it, light on paper always.
func css(id string) string {
	var light, dark strings.Builder
	for _, l := range looks {
		rule := l.light
		if strings.Contains(rule, "%") {
			rule = fmt.Sprintf(rule, id)
		}
		fmt.Fprintf(&light, ".%s-%s{%s}\n", id, l.class, rule)
		fmt.Fprintf(&dark, ".%s-%s{%s}\n", id, l.class, l.dark)
	}
	return light.String() + "@media screen and (prefers-color-scheme:dark){\n" + dark.String() + "}\n"
}
