package draw

import (
	"fmt"
	"io"
	"math"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Aim is what [Target] draws. The zero value of what is optional leaves it out.
type Aim struct {
	Bore    string                               // "part/bore", one that carries a shaft
	Limit   tolerance.Optional[tolerance.Offset] // greatest offset from the main reference, centre to centre
	Because string                               // where the limit comes from
}

// targetRadius is the greatest of the target's field, in user units.
const targetRadius = 168

// Target draws one support as seen from the tail: where its bore centre lies from the main reference line, how far the float of all joints takes it, the circle in which the axis of the shaft has room, the best straight shaft there, and the limit.
//
// a must be the result of s. It returns an error that wraps [fault.ErrUnknownName] when no shaft runs in that bore, [fault.ErrConflict] when a is not of s, [fault.ErrOutOfRange] for a limit that is not possible, or a fault of the options.
func Target(w io.Writer, s align.Stack, a *align.Assembly, aim Aim, o Options) error {
	o, sc, err := sceneOf("target", &s, a, o)
	if err != nil {
		return err
	}
	if l, ok := aim.Limit.Get(); ok && !(l >= 0 && !math.IsInf(float64(l), 0)) {
		return fault.At("/limit", fmt.Sprint(float64(l)), "a finite limit of at least 0", fault.ErrOutOfRange)
	}
	i, known := -1, []string(nil)
	for k, q := range sc.spots[:len(a.Supports)] {
		if known = append(known, q.name); q.name == aim.Bore {
			i = k
		}
	}
	if i < 0 {
		return unknown("/bore", aim.Bore, "bore that carries a shaft", known)
	}
	b, q := &a.Supports[i], sc.spots[i]
	out := align.Output{What: align.OffsetSize, Of: aim.Bore}
	over, err := a.Range(out)
	if err != nil {
		return fmt.Errorf("draw: target: %w", err)
	}
	reach, err := reachOf(&s, a, out)
	if err != nil {
		return err
	}

	c := newCanvas(o, "Target of "+spell.Name(aim.Bore), a.Title)
	answer := "Offset " + c.p.offset(b.Offset) + " (centre to centre), TIR " + c.p.Length(2*b.Offset.Size()) + ", from " + sc.reference + "."
	c.head(append([]string{answer}, warnings(a)...)...)

	if g := q.governs(); g != "" {
		c.paragraph(text, bodySize, bodyPitch, "It "+g+".")
	}
	if q.out > 0 {
		c.paragraph(warn, bodySize, bodyPitch, "THE SHAFT LEAVES ITS ROOM by "+c.p.Length(tolerance.Length(q.out))+".")
	}
	c.y += 6
	t := target{canvas: c, radius: c.radius(targetRadius, 18)}
	t.cx, t.cy = margin+14+t.radius, c.y+16+t.radius
	x, y := c.beside(t.cx+t.radius+34, t.cy-t.radius, t.cy+t.radius+26)
	t.fit(q, sc, aim, over, reach)
	t.field()
	keys := t.marks(&s, a, i, sc, aim, over, reach)
	c.y = math.Max(t.cy+t.radius+22, c.keys(x, y, keys))
	scale := c.magnified(t.scale)
	c.notes(scale, "Seen from the tail, 12 o'clock up. Offsets are centre to centre; clearances are diametral.")
	c.describe("Seen from the tail, 12 o'clock up", answer, keyWords(keys), scale)
	return write(w, c)
}

// marks draws all that is known of support i, from the limit to the shaft, and returns the key to it.
func (t *target) marks(s *align.Stack, a *align.Assembly, i int, sc *scene, aim Aim, over align.Range, reach []align.Vec2) []keyLine {
	c, b, q := t.canvas, &a.Supports[i], sc.spots[i]
	keys := []keyLine{{c.stroke(chain), "centre of the rings: " + sc.reference}}
	add := func(sample func(x, y float64), text string) { keys = append(keys, keyLine{sample, text}) }
	if l, ok := aim.Limit.Get(); ok {
		c.titled("limit", "limit", func() { c.circle(heavy, t.cx, t.cy, float64(l)*t.scale) })
		text := "limit: offset at most " + c.p.Length(l.Length()) + ", TIR at most " + c.p.Length(l.TIR().Length())
		if aim.Because != "" {
			text += " (" + spell.Clean(aim.Because) + ")"
		}
		add(c.stroke(heavy), text)
	}
	x, y := t.at(q.x, q.y)
	class := dash
	if q.out > 0 {
		class = alarm
	}
	c.titled("room", "room of the shaft's axis", func() { c.circle(class, x, y, q.room*t.scale) })
	roomWords := "room of the shaft's axis, radius " + c.p.Length(tolerance.Length(q.room)) + " (clearance " + c.p.Length(b.Clearance.Length()) + " diametral"
	if support(s, i).Runout != 0 {
		roomWords += " less runout " + c.p.Length(support(s, i).Runout.Length())
	}
	add(c.stroke(class), roomWords+")")
	if g := q.governs(); g != "" {
		c.titled("governs", q.name+" "+g, func() { c.triangle(mark, x, y+q.room*t.scale+7, 6) })
		add(func(x, y float64) { c.triangle(mark, x, y, 6) }, "it "+g)
	}
	if over.Floats && over.Low.Given && over.High.Given {
		t.reach(reach)
		add(c.stroke(thin), "reach of the bore centre as the parts are pushed: offset "+c.p.Plain(tolerance.Length(over.Low.Value))+" to "+c.p.Length(tolerance.Length(over.High.Value)))
	} else {
		add(nil, "nothing that it depends on can be pushed")
	}
	c.titled("offset", "offset of "+aim.Bore, func() {
		c.arrow(ink, solid, t.cx, t.cy, x, y)
		c.circle(solid, x, y, 3.3)
	})
	add(func(x, y float64) { c.circle(solid, x, y, 3.3) }, "bore centre, "+c.p.offset(b.Offset))
	if g, ok := sc.shaft(q.shaft); ok {
		gx, gy := g.at(q.z)
		px, py := t.at(gx, gy)
		class := accent
		if q.out > 0 {
			class = alarm
		}
		c.titled("shaft", "best straight shaft "+g.name, func() { c.cross(class, px, py, 5) })
		v := align.Vec2{X: tolerance.Length(gx - q.x), Y: tolerance.Length(gy - q.y)}
		add(func(x, y float64) { c.cross(class, x, y, 5) }, "best straight shaft "+spell.Name(g.name)+": "+c.p.offset(v)+" from the bore centre")
	}
	return keys
}

// keyWords is a key as sentences.
func keyWords(keys []keyLine) string {
	var out []string
	for _, k := range keys {
		out = append(out, k.text)
	}
	return strings.Join(out, "; ")
}

// magnified draws the scale bar of a picture without a lengthwise scale, and says how large it is on paper.
func (c *canvas) magnified(scale float64) string {
	c.y += 14
	c.scaleBar(margin, c.y, scale, false, "")
	c.y += 4
	return "Printed " + spell.Trimmed(float64(c.o.Width), 0) + " mm wide, it is " + times(scale/unitsPerMM) + " life size; the bar holds at any size."
}

// target is the field seen from the tail.
type target struct {
	*canvas
	cx, cy, radius, scale float64 // centre, radius of the field, and user units a millimetre
}

// at is where a vector from the reference line is on the picture.
func (t *target) at(x, y float64) (px, py float64) { return t.cx + x*t.scale, t.cy - y*t.scale }

// fit chooses a round magnification that shows everything.
func (t *target) fit(q spot, sc *scene, aim Aim, over align.Range, reach []align.Vec2) {
	far := math.Hypot(q.x, q.y)
	most := math.Max(far+q.room, float64(aim.Limit.Value))
	most = math.Max(most, over.High.Value)
	if g, ok := sc.shaft(q.shaft); ok {
		x, y := g.at(q.z)
		most = math.Max(most, math.Hypot(x, y))
	}
	for _, v := range reach {
		most = math.Max(most, float64(v.Size()))
	}
	if most <= 0 {
		most = 0.01
	}
	t.scale = fineDown(t.radius/most/unitsPerMM) * unitsPerMM
}

// field draws rings at round radii, the cross through the reference line, and the clock.
func (t *target) field() {
	unit := float64(t.o.Unit.Size())
	r := t.radius / t.scale / unit
	step := roundDown(r / 2.4)
	c := t.canvas
	c.line(chain, t.cx-t.radius, t.cy, t.cx+t.radius, t.cy)
	c.line(chain, t.cx, t.cy-t.radius, t.cx, t.cy+t.radius)
	for k := 1.0; k*step <= r*(1+sameStep); k++ {
		px := k * step * unit * t.scale
		c.circle(faint, t.cx, t.cy, px)
		x, y := t.cx+px*math.Sin(5*math.Pi/4), t.cy-px*math.Cos(5*math.Pi/4)
		c.try(halo, x, y+.35*smallSize, smallSize, middle, spell.Trimmed(k*step, 9))
	}
	c.clock(t.cx, t.cy, t.radius+4)
}

// clock writes 12, 3, 6 and 9 round a circle.
func (c *canvas) clock(x, y, r float64) {
	c.put(muted, x, y-r-2, smallSize, middle, "12")
	c.put(muted, x+r+3, y+.35*smallSize, smallSize, start, "3")
	c.put(muted, x, y+r+.95*smallSize, smallSize, middle, "6")
	c.put(muted, x-r-3, y+.35*smallSize, smallSize, end, "9")
}

// reach draws the region that the bore centre may take.
func (t *target) reach(region []align.Vec2) {
	var points []float64
	for _, v := range region {
		x, y := t.at(float64(v.X), float64(v.Y))
		points = append(points, x, y)
	}
	t.titled("reach", "reach of the bore centre", func() { t.path(thin, true, points...) })
}
