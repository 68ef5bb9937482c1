package draw

import (
	"fmt"
	"io"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Aim is what [Target] draws. The zero value of what is optional leaves it out.
type Aim struct {
	Bore    string                               // "part/bore", one that carries a shaft
	Limit   tolerance.Optional[tolerance.Offset] // greatest offset from the main reference, centre to centre
	Spread  tolerance.Optional[Spread]           // of the offset, from the stated uncertainties of the readings
	Because string                               // where the limit comes from
}

// Spread is the covariance of a vector across the shaft line, in square millimetres: standard uncertainties squared, and their shared part. The zero value is a point.
type Spread struct{ XX, YY, XY float64 }

// within95 is the radius, in standard deviations, that holds 95 % of a normal vector in the plane: the square root of chi-square's 95 % point for two degrees of freedom, -2 ln 0.05.
//
// Source: JCGM 102:2011, 6.5.3, table 1 (k = 2.45 for two quantities).
var within95 = math.Sqrt(-2 * math.Log(0.05))

// targetRadius is that of the target's field, in user units.
const targetRadius = 168

// Target draws one support as seen from the tail: where its bore centre lies from the main reference line, how far the float of all joints takes it, where the readings' uncertainty leaves it, the circle in which the axis of the shaft has room, the best straight shaft there, and the limit.
//
// a must be the result of s. It returns an error that wraps [fault.ErrUnknownName] when no shaft runs in that bore, [fault.ErrConflict] when a is not of s, [fault.ErrOutOfRange] for a limit or spread that is not possible, or a fault of the options.
func Target(w io.Writer, s align.Stack, a *align.Assembly, aim Aim, o Options) error {
	o, sc, err := sceneOf("target", &s, a, o)
	if err != nil {
		return err
	}
	if err := aim.check(); err != nil {
		return err
	}
	i, known := -1, []string(nil)
	for k, q := range sc.supports {
		if known = append(known, q.name); q.name == aim.Bore {
			i = k
		}
	}
	if i < 0 {
		return unknown("/bore", aim.Bore, "bore that carries a shaft", known)
	}
	b, q := &a.Supports[i], sc.supports[i]
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

	t := target{canvas: c, cx: margin + 14 + targetRadius, cy: c.y + 16 + targetRadius}
	c.edge = t.cx + targetRadius + 34 - keyGap
	t.fit(q, sc, aim, over, reach)
	t.field()
	keys := t.marks(&s, a, i, sc, aim, over, reach)
	foot := c.keys(t.cx+targetRadius+34, t.cy-targetRadius, keys)
	c.y = math.Max(t.cy+targetRadius+22, foot)
	scale := c.magnified(t.scale)
	c.notes(scale, "Seen from the tail, 12 o'clock up. Offsets are centre to centre; clearances are diametral.")
	c.describe("Seen from the tail, 12 o'clock up", answer, keyWords(keys), scale)
	return write(w, c)
}

// marks draws all that is known of support i, from the limit to the shaft, and returns the key to it.
func (t *target) marks(s *align.Stack, a *align.Assembly, i int, sc *scene, aim Aim, over align.Range, reach []align.Vec2) []keyLine {
	c, b, q := t.canvas, &a.Supports[i], sc.supports[i]
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
	c.titled("room", "room of the shaft's axis", func() { c.circle(dash, x, y, q.room*t.scale) })
	roomWords := "room of the shaft's axis, radius " + c.p.Length(tolerance.Length(q.room)) + " (clearance " + c.p.Length(b.Clearance.Length()) + " diametral"
	if support(s, i).Runout != 0 {
		roomWords += " less runout " + c.p.Length(support(s, i).Runout.Length())
	}
	add(c.stroke(dash), roomWords+")")
	if over.Floats && over.Low.Given && over.High.Given {
		t.reach(reach)
		add(c.stroke(thin), "reach of the bore centre over the float of all joints: offset "+c.p.Plain(tolerance.Length(over.Low.Value))+" to "+c.p.Length(tolerance.Length(over.High.Value)))
	} else {
		add(nil, "nothing that it depends on floats")
	}
	if u, ok := aim.Spread.Get(); ok {
		t.ellipse(q, u)
		add(c.stroke(dots), "where the bore centre may be, from the stated uncertainty of the readings (95 %)")
	}
	c.titled("offset", "offset of "+aim.Bore, func() {
		c.arrow(ink, solid, t.cx, t.cy, x, y)
		c.circle(solid, x, y, 3.3)
	})
	add(func(x, y float64) { c.circle(solid, x, y, 3.3) }, "bore centre, "+c.p.offset(b.Offset))
	for _, g := range sc.shafts {
		if g.name != q.shaft {
			continue
		}
		gx, gy := g.at(q.z)
		px, py := t.at(gx, gy)
		c.titled("shaft", "best straight shaft "+g.name, func() { c.cross(accent, px, py, 5) })
		v := align.Vec2{X: tolerance.Length(gx - q.x), Y: tolerance.Length(gy - q.y)}
		add(func(x, y float64) { c.cross(accent, x, y, 5) }, "best straight shaft "+spell.Name(g.name)+": "+c.p.offset(v)+" from the bore centre")
	}
	return keys
}

// keyWords is a key as sentences.
func keyWords(keys []keyLine) string {
	s := ""
	for i, k := range keys {
		if i > 0 {
			s += "; "
		}
		s += k.text
	}
	return s
}

// correlated is the share by which rounding may take the covariance of a fully correlated pair beyond its limit.
const correlated = 1e-9

func (a *Aim) check() error {
	bad := func(path string, v float64, want string) error {
		return &fault.FieldError{Path: path, Value: fmt.Sprint(v), Want: want, Err: fault.ErrOutOfRange}
	}
	if l, ok := a.Limit.Get(); ok && !(l >= 0 && !math.IsInf(float64(l), 0)) {
		return bad("/limit", float64(l), "a finite limit of at least 0")
	}
	u := a.Spread.Value
	for _, v := range [3]float64{u.XX, u.YY, u.XY} {
		if err := finite("/spread", v); err != nil {
			return err
		}
	}
	if u.XX < 0 || u.YY < 0 || u.XY*u.XY > u.XX*u.YY*(1+correlated) {
		return bad("/spread", u.XY, "a covariance: squares of at least 0, and a product within them")
	}
	return nil
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
	cx, cy, scale float64 // centre, and user units a millimetre
}

// at is where a vector from the reference line is on the picture.
func (t *target) at(x, y float64) (px, py float64) { return t.cx + x*t.scale, t.cy - y*t.scale }

// fit chooses a round magnification that shows everything.
func (t *target) fit(q spot, sc *scene, aim Aim, over align.Range, reach []align.Vec2) {
	far := math.Hypot(q.x, q.y)
	most := math.Max(far+q.room, float64(aim.Limit.Value))
	most = math.Max(most, over.High.Value)
	u := aim.Spread.Value
	most = math.Max(most, far+within95*math.Sqrt(u.XX+u.YY))
	for _, g := range sc.shafts {
		if g.name == q.shaft {
			x, y := g.at(q.z)
			most = math.Max(most, math.Hypot(x, y))
		}
	}
	for _, v := range reach {
		most = math.Max(most, float64(v.Size()))
	}
	if most <= 0 {
		most = 0.01
	}
	t.scale = fineDown(targetRadius/most/unitsPerMM) * unitsPerMM
}

// field draws rings at round radii, the cross through the reference line, and the clock.
func (t *target) field() {
	unit := float64(t.o.Unit.Size())
	r := targetRadius / t.scale / unit
	step := roundDown(r / 2.4)
	c := t.canvas
	c.line(chain, t.cx-targetRadius, t.cy, t.cx+targetRadius, t.cy)
	c.line(chain, t.cx, t.cy-targetRadius, t.cx, t.cy+targetRadius)
	for k := 1.0; k*step <= r*(1+sameStep); k++ {
		px := k * step * unit * t.scale
		c.circle(faint, t.cx, t.cy, px)
		x, y := t.cx+px*math.Sin(5*math.Pi/4), t.cy-px*math.Cos(5*math.Pi/4)
		c.try(halo, x, y+.35*smallSize, smallSize, middle, spell.Trimmed(k*step, 9))
	}
	c.clock(t.cx, t.cy, targetRadius+4)
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
	t.titled("reach", "reach over the float", func() { t.path(thin, true, points...) })
}

// ellipse draws the 95 % region of a spread about the bore centre: points cos φ a + sin φ b for a Cholesky factor (a b).
func (t *target) ellipse(q spot, u Spread) {
	a := math.Sqrt(u.XX)
	b := 0.0
	if a > 0 {
		b = u.XY / a
	}
	d := math.Sqrt(math.Max(u.YY-b*b, 0))
	const n = 72
	var points []float64
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / n)
		x, y := t.at(q.x+within95*a*c, q.y+within95*(b*c+d*s))
		points = append(points, x, y)
	}
	t.titled("uncertainty", "95 % region of the readings", func() { t.path(dots, true, points...) })
}
