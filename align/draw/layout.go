package draw

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"example.com/borestack/align/internal/spell"
)

// Row pitches, in user units; a pitch is at least a text's full height.
const (
	bodyPitch  = 16.0
	smallPitch = 14.0
)

func (c *canvas) head(lines ...string) {
	c.y += .95 * titleSize
	for i, l := range wrap(spell.Clean(c.title), titleSize*boldWider, c.w-2*margin) {
		if i > 0 {
			c.y += 1.25 * titleSize
		}
		c.put(text, margin, c.y, titleSize, start, l)
	}
	c.y += .25 * titleSize
	c.paragraph(muted, bodySize, bodyPitch, c.of)
	for _, l := range lines {
		c.paragraph(text, bodySize, bodyPitch, l)
	}
	c.y += 6
}

func (c *canvas) notes(lines ...string) {
	c.y += 4
	for _, l := range lines {
		c.paragraph(muted, smallSize, smallPitch, l)
	}
}

// paragraph writes wrapped lines at the left margin.
func (c *canvas) paragraph(class string, size, pitch float64, s string) {
	for _, l := range wrap(spell.Clean(s), size, c.w-2*margin) {
		c.y += pitch
		c.put(class, margin, c.y-.25*size, size, start, l)
	}
}

// flag is a label for something at x.
type flag struct {
	x    float64
	text string
	row  int
}

// rows gives every flag a row so that no text meets another or the stem of another: each stands to the right of its stem, rows count from the picture outwards, and a flag lies above those to its right that it would reach.
func rows(flags []flag, right float64) (list []flag, count int) {
	list = slices.Clone(flags)
	slices.SortStableFunc(list, func(a, b flag) int { return cmp.Compare(a.x, b.x) })
	const gap = 6
	type taken struct {
		from float64
		row  int
	}
	var behind []taken
	for i := len(list) - 1; i >= 0; i-- {
		f := &list[i]
		f.text = cut(spell.Clean(f.text), smallSize, right-f.x-flagOff)
		w, _ := textWidth(f.text, smallSize, false)
		reach := f.x + flagOff + w + gap
		for _, t := range behind {
			// those to the right whose stem this text would cross, or whose text it would meet
			if t.from < reach && t.row >= f.row {
				f.row = t.row + 1
			}
		}
		behind = append(behind, taken{f.x, f.row})
		count = max(count, f.row+1)
	}
	return list, count
}

const flagOff = 3

// flagsAbove writes flags in rows above what follows, and leaves c.y at the foot of their stems.
func (c *canvas) flagsAbove(flags []flag, right float64) {
	list, n := rows(flags, right)
	foot := c.y + float64(n)*smallPitch + 4
	for _, f := range list {
		y := foot - 4 - float64(f.row)*smallPitch
		c.flag(text, f, y-.8*smallSize, foot, y)
	}
	c.y = foot
}

// flagsBelow writes flags in rows below what came before.
func (c *canvas) flagsBelow(flags []flag, right float64) {
	list, n := rows(flags, right)
	for _, f := range list {
		y := c.y + 4 + float64(f.row+1)*smallPitch
		c.flag(muted, f, c.y, y-.1*smallSize, y)
	}
	c.y += 4 + float64(n)*smallPitch
}

func (c *canvas) flag(class string, f flag, from, to, y float64) {
	c.line(faint, f.x, from, f.x, to)
	c.put(class, f.x+flagOff, y-.25*smallSize, smallSize, start, f.text)
}

// keyGap is kept free to the left of a key.
const keyGap = 8

// leastKey is the least width of a key beside what it explains; with less it stands below.
const leastKey = 190

// beside is where the key of a field goes that ends at right and at foot: beside it, or below. Texts that must find their place keep clear of it.
func (c *canvas) beside(right, top, foot float64) (x, y float64) {
	if c.w-margin-right < leastKey {
		return margin, foot
	}
	c.edge = right - keyGap
	return right, top
}

// radius is the greatest radius, at most most, of a field that leaves beyond of room on either side.
func (c *canvas) radius(most, beyond float64) float64 {
	return math.Min(most, (c.w-2*margin)/2-beyond)
}

// keyLine is a line of a key: a sample of the mark, and what it is.
type keyLine struct {
	sample func(x, y float64) // nil: none; about 20 wide, centred at (x, y)
	text   string
}

// explain adds a line to the key.
func (c *canvas) explain(sample func(x, y float64), text string) {
	c.key = append(c.key, keyLine{sample, text})
}

// show draws a mark at (x, y) with a title, and adds it to the key.
func (c *canvas) show(kind, title string, x, y float64, mark func(x, y float64), text string) {
	c.titled(kind, title, func() { mark(x, y) })
	c.explain(mark, text)
}

// keys writes the key from (x, y) to the right margin and returns its foot.
func (c *canvas) keys(x, y float64) float64 {
	for _, k := range c.key {
		y = c.keyAt(x, y, k)
	}
	return y
}

func (c *canvas) keyAt(x, y float64, k keyLine) float64 {
	const indent = 30
	if k.sample != nil {
		k.sample(x+10, y+smallPitch/2)
	}
	for _, l := range wrap(spell.Clean(k.text), smallSize, c.w-margin-x-indent) {
		y += smallPitch
		c.put(text, x+indent, y-.25*smallSize, smallSize, start, l)
	}
	return y + 3
}

// keyWords is the key in words.
func (c *canvas) keyWords() string {
	return strings.Join(spell.Mapped(c.key, func(k keyLine) string { return k.text }), "; ")
}

func (c *canvas) stroke(class string) func(x, y float64) {
	return func(x, y float64) { c.line(class, x-10, y, x+10, y) }
}

// scaleBar draws a bar of a length, level or upright, with its label, in a row of its own of which it returns the width; (x, y) is its left foot. scale is user units a millimetre.
func (c *canvas) scaleBar(x, y, scale float64, upright bool, label string) (width float64) {
	unit := float64(c.o.Unit.Size())
	long := roundDown(barLength / scale / unit)
	px := long * unit * scale
	s := spell.Trimmed(long, 9) + " " + c.o.Unit.String() + " " + label
	w, _ := textWidth(s, smallSize, false)
	c.titled("scale", s, func() {
		strokes := [3][4]float64{{0, 4, px, 4}, {0, 8, 0, 0}, {px, 8, px, 0}}
		if upright {
			strokes = [3][4]float64{{4, 0, 4, px}, {0, 0, 8, 0}, {0, px, 8, px}}
		}
		for _, l := range strokes {
			c.line(ink, x+l[0], y-l[1], x+l[2], y-l[3])
		}
	})
	tx := x + px + 8
	if upright {
		tx = x + 16
	}
	c.put(muted, tx, y-.1*smallSize, smallSize, start, cut(s, smallSize, c.w-margin/2-tx))
	return tx - x + w
}

const barLength = 50

// asciiWidths are the advances of " " to "~" in thousandths of the type size: of each character the wider of DejaVu Sans 2.37 and Liberation Sans 2.1 (which has the widths of the other usual sans serif faces), so that whichever of the picture's typefaces a reader has, no text is wider than reckoned.
//
// Source: horizontal advances (hmtx) of the two open typefaces.
var asciiWidths = [...]uint16{
	318, 401, 460, 838, 637, 951, 780, 275, 391, 391, 500, 838, 318, 361, 318, 337,
	637, 637, 637, 637, 637, 637, 637, 637, 637, 637, 337, 337, 838, 838, 838, 557,
	1016, 685, 687, 723, 771, 667, 611, 778, 752, 295, 500, 667, 558, 863, 749, 788,
	667, 788, 723, 667, 611, 732, 685, 989, 686, 667, 686, 391, 337, 391, 838, 557,
	500, 613, 635, 550, 635, 616, 353, 635, 634, 278, 278, 580, 278, 975, 634, 612,
	635, 635, 412, 521, 393, 634, 592, 818, 592, 592, 525, 637, 337, 637, 838,
}

// boldWider bounds how much wider a bold character is ("I" of DejaVu Sans Bold, 1.265).
const boldWider = 1.27

// advance is the advance of r in thousandths of the type size; exact is false where it is only typical.
func advance(r rune) (w float64, exact bool) {
	switch {
	case r >= ' ' && r <= '~':
		return float64(asciiWidths[r-' ']), true
	case r == '…':
		return 1000, true
	case r == '°', r == '–', r == '·':
		return 557, true
	case r == '×', r == '±', r == '≤', r == '≥':
		return 838, true
	case r == 'µ', r == 'λ':
		return 637, true
	case r >= 0xA0 && r <= 0xFF:
		return 1000, true
	case r < 0x0E00:
		return 750, false
	}
	return 1000, false
}

// textWidth is how wide s is at a type size, in user units; exact is false where a character's width depends on typefaces that are not in the table, and the text must be held to that width.
func textWidth(s string, size float64, bold bool) (w float64, exact bool) {
	exact = true
	for _, r := range s {
		a, ok := advance(r)
		w += a
		exact = exact && ok
	}
	w *= size / 1000
	if bold {
		w *= boldWider
	}
	return w, exact
}

// cut shortens s to a width, with "…" for what is left out.
func cut(s string, size, width float64) string {
	if w, _ := textWidth(s, size, false); w <= width {
		return s
	}
	for r := []rune(s); len(r) > 1; {
		r = r[:len(r)-1]
		t := strings.TrimRight(string(r), " ") + "…"
		if w, _ := textWidth(t, size, false); w <= width {
			return t
		}
	}
	return ""
}

// wrap breaks s into lines of at most a width, at spaces; a longer word is cut.
func wrap(s string, size, width float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		word = cut(word, size, width)
		longer := word
		if line != "" {
			longer = line + " " + word
		}
		if w, _ := textWidth(longer, size, false); w <= width {
			line = longer
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		line = word
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// printed says how wide the picture is on paper.
func (c *canvas) printed() string {
	return "printed " + spell.Trimmed(float64(c.o.Width), 0) + " mm wide"
}

// field is what is seen from the tail: round a centre, on one scale.
type field struct {
	*canvas
	cx, cy, radius, scale float64 // user units, and user units a millimetre
}

func (f *field) at(x, y float64) (px, py float64) { return f.cx + x*f.scale, f.cy - y*f.scale }

// upright draws the upright and the level line through the centre.
func (f *field) upright(class string, radius float64) {
	f.line(class, f.cx-radius, f.cy, f.cx+radius, f.cy)
	f.line(class, f.cx, f.cy-radius, f.cx, f.cy+radius)
}

// clock writes 12, 3, 6 and 9 round the centre.
func (f *field) clock(r float64) {
	f.put(muted, f.cx, f.cy-r-2, smallSize, middle, "12")
	f.put(muted, f.cx+r+3, f.cy+.35*smallSize, smallSize, start, "3")
	f.put(muted, f.cx, f.cy+r+.95*smallSize, smallSize, middle, "6")
	f.put(muted, f.cx-r-3, f.cy+.35*smallSize, smallSize, end, "9")
}

// magnify chooses a round scale, at most that.
func magnify(scale float64) float64 { return fineDown(scale/unitsPerMM) * unitsPerMM }
