package draw

import (
	"fmt"
	"io"
	"math"
	"slices"

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
// It returns an error that wraps [fault.ErrUnknownName] when no shaft runs in that bore, [fault.ErrMissing] without a, [fault.ErrOutOfRange] for a limit that is not possible, or a fault of the options.
func Target(w io.Writer, a *align.Assembly, aim Aim, o Options) error {
	c, sc, err := sceneOf("target", a, o, "Target of "+spell.Name(aim.Bore))
	if err != nil {
		return err
	}
	if l, ok := aim.Limit.Get(); ok && !(l >= 0 && !math.IsInf(float64(l), 0)) {
		return fault.At("/limit", fmt.Sprint(float64(l)), "a finite limit of at least 0", fault.ErrOutOfRange)
	}
	known := spell.Mapped(a.Supports, func(b align.SupportedBore) string { return b.Bore })
	i := slices.Index(known, aim.Bore)
	if i < 0 {
		return unknown("/bore", aim.Bore, "bore that carries a shaft", known)
	}
	b, q := &a.Supports[i], sc.spots[i]
	ranges, _, err := a.Stack().Ranges([]align.Output{{What: align.OffsetSize, Of: aim.Bore}})
	if err != nil {
		return fmt.Errorf("draw: target: %w", err)
	}
	reach, err := a.Reach(aim.Bore, reachDirections)
	if err != nil {
		return fmt.Errorf("draw: reach: %w", err)
	}
	answer := "Offset " + c.p.offset(b.Offset) + " (centre to centre), TIR " + c.p.Length(2*b.Offset.Size()) + ", from " + sc.reference + "."
	c.head(append([]string{answer}, warnings(a)...)...)

	if g := q.governs(); g != "" {
		c.paragraph(text, bodySize, bodyPitch, "It "+g+".")
	}
	if q.out > 0 {
		c.paragraph(warn, bodySize, bodyPitch, "THE SHAFT LEAVES ITS ROOM by "+c.p.Length(tolerance.Length(q.out))+".")
	}
	c.y += 6
	t, x, y := c.target()
	t.fit(q, sc, aim, ranges[0], reach)
	t.rings()
	t.marks(a, i, sc, aim, ranges[0], reach)
	c.y = math.Max(t.cy+t.radius+22, c.keys(x, y))
	scale := c.magnified(t.scale)
	c.notes(scale, "Seen from the tail, 12 o'clock up. Offsets are centre to centre; clearances are diametral.")
	return c.write(w, "Seen from the tail, 12 o'clock up", answer, c.keyWords(), scale)
}

// marks draws all that is known of support i, from the limit to the shaft, and explains it.
func (t *target) marks(a *align.Assembly, i int, sc *scene, aim Aim, over align.Range, reach []align.Vec2) {
	c, b, q := t.canvas, &a.Supports[i], sc.spots[i]
	c.explain(c.stroke(chain), "centre of the rings: "+sc.reference)
	if l, ok := aim.Limit.Get(); ok {
		c.titled("limit", "limit", func() { c.circle(heavy, t.cx, t.cy, float64(l)*t.scale) })
		text := "limit: offset at most " + c.p.Length(l.Length()) + ", TIR at most " + c.p.Length(l.TIR().Length())
		text += spell.If(aim.Because != "", " ("+spell.Clean(aim.Because)+")")
		c.explain(c.stroke(heavy), text)
	}
	x, y := t.at(q.x, q.y)
	class := q.class(dash)
	c.titled("room", "room of the shaft's axis", func() { c.circle(class, x, y, q.room*t.scale) })
	roomWords := "room of the shaft's axis, radius " + c.p.Length(tolerance.Length(q.room)) + " (clearance " + c.p.Length(b.Clearance.Length()) + " diametral"
	roomWords += spell.If(q.runout != 0, " less runout "+c.p.Length(q.runout.Length()))
	c.explain(c.stroke(class), roomWords+")")
	if g := q.governs(); g != "" {
		c.show("governs", q.name+" "+g, x, y+q.room*t.scale+7, func(x, y float64) { c.triangle(mark, x, y, 6) }, "it "+g)
	}
	if over.Floats && over.Low.Given && over.High.Given {
		t.reach(reach)
		c.explain(c.stroke(thin), "reach of the bore centre as the parts are pushed: offset "+c.p.Plain(tolerance.Length(over.Low.Value))+" to "+c.p.Length(tolerance.Length(over.High.Value)))
	} else {
		c.explain(nil, "nothing that it depends on can be pushed")
	}
	c.titled("offset", "offset of "+aim.Bore, func() {
		c.arrow(ink, solid, t.cx, t.cy, x, y)
		c.circle(solid, x, y, 3.3)
	})
	c.explain(func(x, y float64) { c.circle(solid, x, y, 3.3) }, "bore centre, "+c.p.offset(b.Offset))
	if g, ok := sc.shaft(q.shaft); ok {
		gx, gy := g.at(q.z)
		px, py := t.at(gx, gy)
		class := q.class(accent)
		v := align.Vec2{X: tolerance.Length(gx - q.x), Y: tolerance.Length(gy - q.y)}
		c.show("shaft", "best straight shaft "+g.name, px, py, func(x, y float64) { c.cross(class, x, y, 5) }, "best straight shaft "+spell.Name(g.name)+": "+c.p.offset(v)+" from the bore centre")
	}
}

// magnified draws the scale bar of a picture without a lengthwise scale, and says how large it is on paper.
func (c *canvas) magnified(scale float64) string {
	c.y += 14
	c.scaleBar(margin, c.y, scale, false, "")
	c.y += 4
	return spell.Upper(c.printed()) + ", it is " + times(scale/unitsPerMM) + " life size; the bar holds at any size."
}

type target struct{ field }

// target is an empty field at c.y, and where its key goes.
func (c *canvas) target() (t target, x, y float64) {
	r := c.radius(targetRadius, 18)
	t = target{field{canvas: c, radius: r, cx: margin + 14 + r, cy: c.y + 16 + r}}
	x, y = c.beside(t.cx+r+34, t.cy-r, t.cy+r+26)
	return t, x, y
}

// fit chooses a round magnification that shows everything.
func (t *target) fit(q spot, sc *scene, aim Aim, over align.Range, reach []align.Vec2) {
	most := max(math.Hypot(q.x, q.y)+q.room, float64(aim.Limit.Value), over.High.Value)
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
	t.scale = magnify(t.radius / most)
}

// rings draws rings at round radii, the cross through the reference line, and the clock.
func (t *target) rings() {
	unit := float64(t.o.Unit.Size())
	r := t.radius / t.scale / unit
	step := roundDown(r / 2.4)
	c := t.canvas
	t.upright(chain, t.radius)
	for k := 1.0; k*step <= r*(1+sameStep); k++ {
		px := k * step * unit * t.scale
		c.circle(faint, t.cx, t.cy, px)
		x, y := t.cx+px*math.Sin(5*math.Pi/4), t.cy-px*math.Cos(5*math.Pi/4)
		c.try(halo, x, y+.35*smallSize, smallSize, middle, spell.Trimmed(k*step, 9))
	}
	t.clock(t.radius + 4)
}

func (t *target) reach(region []align.Vec2) {
	var points []float64
	for _, v := range region {
		x, y := t.at(float64(v.X), float64(v.Y))
		points = append(points, x, y)
	}
	t.titled("reach", "reach of the bore centre", func() { t.path(thin, true, points...) })
}

// reachDirections is how many corners a region has: those of a disc lie on it, and its sides at most 1 - cos(π/72) = 0.1 % inside.
const reachDirections = 72
