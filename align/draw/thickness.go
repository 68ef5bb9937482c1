package draw

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// mapRadius is the greatest of a thickness map with its labels, in user units. The ring of the mean thickness and how far the
// greatest deviation may reach from it are shares of what is left.
const (
	mapRadius  = 162.0
	ringShare  = 104 / mapRadius
	depthShare = 46 / mapRadius
)

// Thickness draws a part's thickness round the clock, as mounted and as seen from the tail: every station's deviation from the mean, amplified; the fitted plane, whose thickest side is the wedge's; the thickest and thinnest station; and what the harmonics of the residual say. A part that was not read with a micrometer has its plane alone.
//
// It returns an error that wraps [fault.ErrUnknownName] for a part that the stack does not have, [ErrNothingToDraw] for one without two faces, [fault.ErrMissing] without a, or a fault of the options.
func Thickness(w io.Writer, a *align.Assembly, part string, o Options) error {
	c, s, err := opened(a, o, "Thickness of "+spell.Name(part))
	if err != nil {
		return err
	}
	at := slices.IndexFunc(s.Parts, func(p align.Part) bool { return p.Name == part })
	if at < 0 {
		return unknown("/part", part, "part", spell.Mapped(s.Parts, func(p align.Part) string { return p.Name }))
	}
	shape, ok := shapeOf(a, part)
	if !ok {
		return nothing("thickness", spell.Name(part)+" does not have two faces")
	}
	m := newPlate(c, &s.Parts[at], shape)
	answer := plateWords(c.p, shape)
	c.head(answer)
	m.cx, m.cy = margin+m.radius+40, c.y+m.radius+18
	x, y := c.beside(m.cx+m.radius+44, m.cy-m.ring-m.deepest, m.cy+m.radius+24)
	m.draw()
	foot := m.harmonics(x, c.keys(x, y)+6, readingsOf(a, at))
	c.y = math.Max(m.cy+m.radius+18, foot)
	c.y += 14
	c.scaleBar(margin, c.y, m.scale, false, "of thickness, outwards")
	c.y += 4
	scale := "The ring stands for the mean thickness; deviations are drawn " + times(m.larger) + " larger than the ring of the readings"
	if m.stations == 0 {
		scale = "The ring stands for the mean thickness; " + c.printed() + ", deviations are drawn " + times(m.scale/unitsPerMM) + " life size"
	}
	frame := "Seen from the tail, 12 o'clock of the part up, as mounted."
	frame += spell.If(s.Parts[at].Turned, " It is mounted end for end: its readings were taken in the mirror image.")
	c.notes(scale+".", frame+" Two points of a micrometer see thickness alone: neither flatness nor bow.")
	return c.write(w, frame, answer, c.keyWords(), scale)
}

func plateWords(p speller, shape align.PartShape) string {
	s := "Thickness " + p.Size(shape.Thickness) + " on its axis"
	if size := shape.Wedge.Size(); size > 0 {
		s += "; wedge " + p.Slope(size) + ", thickest at " + spell.Hand(shape.Wedge.Clock())
		s += spell.If(shape.Rise.Given && shape.Across.Given, ", by "+p.Length(shape.Rise.Value)+" across "+p.Size(shape.Across.Value))
	} else {
		s += "; no wedge"
	}
	return s + "."
}

// plate is a thickness map: deviations from the mean at clock angles, as mounted.
type plate struct {
	field   // its scale is that of deviations
	shape   align.PartShape
	ring    float64 // user units: the mean ring, and the greatest deviation from it
	deepest float64

	stations float64 // their radius, mm; 0: not read
	theta    []float64
	dev      []float64
	mean     float64
	high     int
	low      int
	half     float64 // the plane's rise from the axis to the stations
	larger   float64 // deviations against the ring of the readings
	outward  tolerance.Angle
}

func newPlate(c *canvas, p *align.Part, shape align.PartShape) *plate {
	radius := c.radius(mapRadius, 40)
	m := &plate{field: field{canvas: c, radius: radius}, ring: ringShare * radius, deepest: depthShare * radius, shape: shape, mean: float64(shape.Thickness), outward: shape.Wedge.Clock(), half: float64(shape.Rise.Or(0)) / 2}
	if p.Rear != nil && p.Rear.Thickness != nil {
		t := p.Rear.Thickness
		m.stations = float64(t.Radius)
		m.theta, m.dev = t.Stations()
		k := p.Growth()
		for i := range m.theta {
			if p.Turned {
				m.theta[i] = -m.theta[i]
			}
			m.dev[i] = m.dev[i]*k - m.mean
		}
	}
	most := m.half
	if len(m.dev) > 0 {
		high, low := slices.Max(m.dev), slices.Min(m.dev)
		m.high, m.low = slices.Index(m.dev, high), slices.Index(m.dev, low)
		most = max(most, math.Abs(high), math.Abs(low))
	}
	if most == 0 {
		most = 0.01
	}
	m.scale = magnify(m.deepest / most)
	if m.stations > 0 {
		m.larger = fineDown(m.deepest / most * m.stations / m.ring)
		m.scale = m.larger * m.ring / m.stations
	}
	return m
}

// at is where a deviation at a clock angle is.
func (m *plate) at(theta, dev float64) (x, y float64) {
	s, c := math.Sincos(theta)
	r := m.ring + dev*m.scale
	return m.cx + r*s, m.cy - r*c
}

func (m *plate) draw() {
	c := m.canvas
	m.upright(faint, m.radius)
	m.clock(m.radius + 2)
	c.titled("mean", "mean thickness", func() { c.circle(chain, m.cx, m.cy, m.ring) })
	c.explain(c.stroke(chain), "mean ring: "+c.p.Size(tolerance.Length(m.mean)))

	const n = 120
	var points []float64
	for i := range n {
		a := 2 * math.Pi * float64(i) / n
		x, y := m.at(a, m.half*math.Cos(a-float64(m.outward)))
		points = append(points, x, y)
	}
	c.titled("plane", "fitted plane", func() { c.path(dash, true, points...) })
	if m.half > 0 {
		c.explain(c.stroke(dash), "fitted plane: rises by "+c.p.Length(2*tolerance.Length(m.half))+" across "+c.p.Size(m.shape.Across.Value))
	}
	if len(m.dev) > 0 {
		points = points[:0]
		for _, i := range m.round() {
			x, y := m.at(m.theta[i], m.dev[i])
			points = append(points, x, y)
		}
		c.titled("readings", "readings", func() { c.path(thin, true, points...) })
		c.explain(c.stroke(thin), fmt.Sprintf("%d stations at radius %s, joined", len(m.dev), c.p.Size(tolerance.Length(m.stations))))
	}
	m.marks()
	if m.shape.Wedge != (align.Slope{}) {
		s, cs := math.Sincos(float64(m.outward))
		tail, tip := 18.0, m.ring-m.deepest-8
		c.titled("wedge", "wedge, towards its thickest side", func() { c.arrow(accent, mark, m.cx-tail*s, m.cy+tail*cs, m.cx+tip*s, m.cy-tip*cs) })
		c.explain(func(x, y float64) { c.arrow(accent, mark, x-10, y, x+10, y) }, "wedge: thickest at "+spell.Hand(m.outward)+", "+c.p.Slope(math.Hypot(m.shape.Wedge.X, m.shape.Wedge.Y)))
	}
	if v, ok := m.shape.ThicknessVariation.Get(); ok {
		c.explain(nil, "thickness variation "+c.p.Length(v)+", greatest less least reading")
	}
	if v, ok := m.shape.Waviness.Get(); ok {
		c.explain(nil, "waviness "+c.p.Length(v)+", peak to valley about the plane")
	}
}

// round is the order of the stations round the clock.
func (m *plate) round() []int {
	turn := func(i int) float64 { return float64(tolerance.Angle(m.theta[i]).Normalized()) }
	list := make([]int, len(m.theta))
	for i := range list {
		list[i] = i
	}
	slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(turn(a), turn(b)) })
	return list
}

// marks draws every station, the thickest and thinnest apart, each with its deviation where there is room.
func (m *plate) marks() {
	c := m.canvas
	if len(m.dev) == 0 {
		return
	}
	u := " " + c.o.Unit.String()
	reading := func(i int) string {
		return c.p.Plain(tolerance.Length(m.mean+m.dev[i])) + u + " at " + spell.Hand(tolerance.Angle(m.theta[i]))
	}
	up := func(x, y float64) { c.triangle(solid, x, y, 6) }
	down := func(x, y float64) { c.path(hollow, true, x, y+5.5, x+4.8, y-3, x-4.8, y-3) }
	for i := range m.dev {
		show := func(x, y float64) { c.circle(solid, x, y, 2.6) }
		switch i {
		case m.high:
			show = up
		case m.low:
			show = down
		}
		c.titled("station", reading(i), func() { show(m.at(m.theta[i], m.dev[i])) })
	}
	c.explain(up, "thickest station: "+reading(m.high))
	c.explain(down, "thinnest station: "+reading(m.low))
	// the two that matter most take their places first
	others := slices.DeleteFunc(m.round(), func(i int) bool { return i == m.high || i == m.low })
	for _, i := range append([]int{m.high, m.low}, others...) {
		s := c.p.Plain(tolerance.Length(m.dev[i]))
		if m.dev[i] > 0 && s != "0" {
			s = "+" + s
		}
		sn, cs := math.Sincos(m.theta[i])
		for _, off := range [...]float64{11, 18, -14} {
			at := middle
			if math.Abs(sn) > .35 {
				at = spell.Either(sn < 0 != (off < 0), end, start)
			}
			r := m.ring + m.dev[i]*m.scale + off
			if c.try(halo, m.cx+r*sn, m.cy-r*cs+.35*smallSize, smallSize, at, s) {
				break
			}
		}
	}
}

// readingsOf is the fit of a part's thickness readings; nil when it has none.
func readingsOf(a *align.Assembly, part int) *align.ReadingFit {
	for _, f := range a.Readings {
		if strings.HasPrefix(f.Path, fmt.Sprintf("/parts/%d/", part)) && f.OnThickness {
			return &f
		}
	}
	return nil
}

// harmonics draws what is left about the plane, a bar for each harmonic, and returns its foot.
func (m *plate) harmonics(x, y float64, fit *align.ReadingFit) float64 {
	c := m.canvas
	const most, long = 8, 60.0
	if fit == nil {
		return y
	}
	list := slices.DeleteFunc(slices.Clone(fit.Harmonics), func(h align.Harmonic) bool { return h.N < 2 })
	if list = list[:min(len(list), most)]; len(list) == 0 {
		return y
	}
	largest := slices.MaxFunc(list, func(a, b align.Harmonic) int { return cmp.Compare(a.Size, b.Size) }).Size
	y += smallPitch
	c.put(muted, x, y-.25*smallSize, smallSize, start, cut("harmonics of what the plane leaves", smallSize, c.w-margin-x))
	for _, h := range list {
		y += smallPitch
		label := fmt.Sprintf("%d", h.N)
		c.put(text, x+14, y-.25*smallSize, smallSize, end, label)
		length := 0.0
		if largest > 0 {
			length = long * float64(h.Size/largest)
		}
		c.titled("harmonic", "harmonic "+label, func() { c.rect(bar, x+22, y-11, length, 8) })
		c.put(text, x+22+long+8, y-.25*smallSize, smallSize, start, cut(c.p.Length(h.Size), smallSize, c.w-margin-x-long-30))
	}
	return y
}
