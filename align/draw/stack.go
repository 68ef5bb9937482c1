package draw

import (
	"io"
	"math"
	"strconv"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// Stack draws the stack as it was understood, cut open along the shaft line and lengthwise as crosswise on one scale: parts between their faces, what locates every joint, supports, pockets and shafts. It is the picture to hold against the machine before any number is believed. Parts are drawn between contact rings, not in their true outline.
//
// It returns an error that wraps [fault.ErrMissing] without a, or a fault of the options.
func Stack(w io.Writer, a *align.Assembly, o Options) error {
	c, s, err := opened(a, o, "The stack as understood")
	if err != nil {
		return err
	}
	c.head()
	t := newSection(c, &s, a)
	var mids []spot // of the parts, and what carries the shafts
	for i, b := range t.blocks {
		mids = append(mids, spot{name: s.Parts[i].Name, z: (b.z[0] + b.z[1]) / 2})
	}
	carriers := t.carriers()
	flags, partsNumbered := flagged(mids, t.px, c.w-margin)
	c.flagsAbove(flags, c.w-margin)
	from := c.y
	t.axis = from + 10 + t.far*t.scale
	foot := t.axis + t.far*t.scale + 10
	for i, b := range t.blocks {
		c.line(thin, flags[i].x, from, flags[i].x, t.py(max(b.r[0], b.r[1])*.9))
	}
	t.parts()
	t.joints()
	t.supports()
	c.y = foot
	below, carriersNumbered := flagged(carriers, t.px, c.w-margin)
	c.behind(func() {
		for _, f := range below {
			c.line(faint, f.x, from, f.x, foot)
		}
	})
	c.flagsBelow(below, c.w-margin)
	c.y += 20
	c.scaleBar(margin, c.y, t.scale, false, "in every direction")
	c.y += 6
	if partsNumbered {
		c.explain(nil, "Parts: "+numberedList(mids))
	}
	if carriersNumbered {
		c.explain(nil, "Supports and pockets: "+numberedList(carriers))
	}
	for _, q := range carriers {
		if g := q.governs(); g != "" {
			c.titled("governs", q.name+" "+g, func() { c.triangle(mark, t.px(q.z), t.axis+14, 6) })
		}
	}
	c.governing(carriers, nameIn(carriers, carriersNumbered))
	partWords, jointWords := t.partWords(), t.jointWords()
	for _, words := range jointWords {
		c.explain(nil, words)
	}
	c.y = c.keys(margin, c.y)
	frame := "Side view from the left: nose left, tail right, 12 o'clock up. Clock positions are seen from the tail."
	scale := "Lengthwise and crosswise on one scale; " + c.printed() + " it is " + spell.Trimmed(t.scale/unitsPerMM, 4) + " times life size. Deviations are too small to see here."
	key := "Outlines join the contact rings of the two faces and are not the castings' shape; a dashed end has no face in the record. Strokes across a joint: pins; thick strokes along it: the register; crossed squares: bearings; boxes: bushes; diamond: pocket; thick dashed line across: gasket."
	c.notes("Lengths in "+c.o.Unit.String()+".", frame, scale, key)
	return c.write(w, append(append([]string{frame}, append(partWords, jointWords...)...), scale)...)
}

// carriers are supports and pockets; what governs the shaft line is marked.
func (t *section) carriers() (list []spot) {
	add := func(name string, z tolerance.Length) {
		q := spot{name: name, z: float64(z)}
		if t.a.Line != nil {
			q.govern(t.a.Line)
		}
		list = append(list, q)
	}
	for _, b := range t.a.Supports {
		add(b.Bore, b.Z)
	}
	for _, p := range t.s.Pockets {
		add(p.Name, p.Z)
	}
	return list
}

func (t *section) partWords() (words []string) {
	at := func(v float64, open bool) string {
		if open {
			return "-"
		}
		return t.p.Place(tolerance.Length(v))
	}
	for i, b := range t.blocks {
		s := "part " + spell.Name(t.s.Parts[i].Name) + " from z " + at(b.z[0], b.open[0]) + " to " + at(b.z[1], b.open[1])
		s += spell.If(t.s.Parts[i].Turned, ", mounted end for end")
		words = append(words, s)
	}
	return words
}

func (t *section) jointWords() (words []string) {
	for i, j := range t.a.Joints {
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
			located += ", over a gasket of " + t.p.Size(g.Thickness)
		}
		words = append(words, "joint "+spell.Name(j.Name)+" located by "+located+", lies "+lies)
	}
	return words
}

// block is a part as the record describes it, along its axis in S: between its faces, or as far as its bores where it has only one.
type block struct {
	z, r [2]float64 // of its front and rear end: where, and the outer radius of its contact ring there, or of what is known
	open [2]bool    // no face there
}

// section is the stack cut open along the shaft line, lengthwise and crosswise on one scale.
type section struct {
	*canvas
	s      *align.Stack
	a      *align.Assembly
	blocks []block
	x0, z0 float64
	axis   float64 // y of the shaft line
	scale  float64
	far    float64 // greatest radius
	z      span
}

// wallShare is what a part without a stated contact ring is drawn beyond the largest feature that it has.
const wallShare = 1.15

func newSection(c *canvas, s *align.Stack, a *align.Assembly) *section {
	t := &section{canvas: c, s: s, a: a, z: nowhere()}
	for i := range s.Parts {
		t.blocks = append(t.blocks, t.block(i))
	}
	for _, b := range t.blocks {
		t.z.add(b.z[:]...)
		t.far = math.Max(t.far, math.Max(b.r[0], b.r[1]))
	}
	for _, q := range s.Shafts {
		if z := reachOfShaft(s, a, q.Name); z.lo <= z.hi {
			t.z.add(z.lo, z.hi)
		}
	}
	if t.far == 0 {
		t.far = math.Max(t.z.size()/5, 1)
		for i := range t.blocks {
			t.blocks[i].r = [2]float64{t.far, t.far}
		}
	}
	const tall = 250
	wide := c.w - 2*margin - 16
	t.scale = magnify(math.Min(wide/(1.06*math.Max(t.z.size(), samePlace)), tall/(2.1*t.far)))
	t.x0 = margin + 8 + (wide-t.z.size()*t.scale)/2
	t.z0 = t.z.lo
	return t
}

func (t *section) px(z float64) float64 { return t.x0 + (z-t.z0)*t.scale }
func (t *section) py(r float64) float64 { return t.axis - r*t.scale }

func (t *section) block(i int) (b block) {
	p, base := &t.s.Parts[i], float64(t.a.Placed[i].BaseFromPart.Origin().Z)
	known, widest := nowhere(), 0.0
	for k := range b.z {
		f := p.Facing(k == 1)
		if b.open[k] = f == nil; f != nil {
			b.z[k], b.r[k] = float64(t.a.Placed[i].Faces[k].Value), contactRadius(f)
			known.add(b.z[k])
		}
	}
	for _, q := range p.Bores {
		known.add(base + ahead(p)*float64(q.Centre.Z))
		widest = math.Max(widest, float64(q.Diameter.Or(0))/2)
	}
	if known.lo > known.hi {
		known.add(base)
	}
	// beyond the last bore of an open end, a little more of the part
	more := math.Max(.08*known.size(), 5)
	for k, beyond := range [2]float64{known.lo - more, known.hi + more} {
		if b.open[k] {
			b.z[k] = beyond
		}
		if b.r[k] == 0 {
			b.r[k] = math.Max(b.r[1-k], wallShare*widest)
		}
	}
	return b
}

// contactRadius is how far out a face touches: as stated, or a little beyond all that the record has on it.
func contactRadius(f *align.Face) float64 {
	if f.Diameter.Given {
		return float64(f.Diameter.Value) / 2
	}
	r := 0.0
	if f.Pilot != nil {
		r = float64(f.Pilot.Diameter) / 2
	}
	for _, d := range f.Dowels {
		r = math.Max(r, float64(d.Centre.Size())+float64(d.Diameter)/2)
	}
	for _, q := range f.Points {
		r = math.Max(r, math.Hypot(float64(q.X), float64(q.Y)))
	}
	if f.Thickness != nil {
		r = math.Max(r, float64(f.Thickness.Radius))
	}
	return wallShare * r
}

// parts draws every part's outline, open where it has no face.
func (t *section) parts() {
	for i, b := range t.blocks {
		t.titled("part", t.s.Parts[i].Name, func() {
			t.path(pale, true, t.px(b.z[0]), t.py(b.r[0]), t.px(b.z[1]), t.py(b.r[1]), t.px(b.z[1]), t.py(-b.r[1]), t.px(b.z[0]), t.py(-b.r[0]))
			for _, r := range [2]float64{1, -1} {
				t.line(ink, t.px(b.z[0]), t.py(r*b.r[0]), t.px(b.z[1]), t.py(r*b.r[1]))
			}
			for k, z := range b.z {
				t.line(spell.Either(b.open[k], dash, ink), t.px(z), t.py(b.r[k]), t.px(z), t.py(-b.r[k]))
			}
		})
	}
}

// joints draws what locates every joint: the register as a step, pins as strokes across it, a gasket as a thick line.
func (t *section) joints() {
	for i := range t.s.Joints {
		z := jointZ(t.a, i)
		j := &t.s.Joints[i]
		front := t.s.Parts[i].Facing(true)
		t.titled("joint", t.a.Joints[i].Name, func() {
			if front == nil {
				return
			}
			long := float64(j.Engagement.Or(0))
			if long == 0 {
				long = .02 * t.z.size()
			}
			if q := front.Pilot; q != nil && t.a.Joints[i].Pilot != nil {
				d := long
				if q.Kind == align.PilotBore && !j.RegisterRing.Given {
					d = -long // the spigot behind enters the bore in front
				}
				r := float64(q.Diameter) / 2
				for _, s := range [2]float64{1, -1} {
					t.path(accent, false, t.px(z), t.py(s*r), t.px(z+d), t.py(s*r))
				}
			}
			for k := range j.Pins {
				for _, h := range front.Dowels {
					if h.Name == j.Pins[k].Dowel {
						y := t.py(float64(h.Centre.Y))
						t.line(ink, t.px(z)-6, y, t.px(z)+6, y)
						t.circle(solid, t.px(z), y, 2)
					}
				}
			}
			if j.Gasket != nil {
				b := t.blocks[i+1]
				t.line(heavy, t.px(z), t.py(b.r[0]), t.px(z), t.py(-b.r[0]))
			}
		})
	}
}

// supports draws every support across its bore: a crossed square above and below for a bearing, a long box for a bush, and the shafts through them.
func (t *section) supports() {
	t.line(chain, t.px(t.z.lo)-8, t.axis, t.px(t.z.hi)+8, t.axis)
	for i := range t.a.Supports {
		b, sup := &t.a.Supports[i], support(t.s, i)
		x := t.px(float64(b.Z))
		r := t.boreRadius(b.Bore) * t.scale
		if r == 0 {
			r = 10
		}
		t.titled("support", b.Bore, func() {
			for _, s := range [2]float64{1, -1} {
				if b.Kind == align.Bush {
					h := math.Max(float64(sup.Width)/2*t.scale, 3)
					t.rect(hollow, x-h, t.axis-s*r-3, 2*h, 6)
					continue
				}
				y := t.axis - s*(r-4)
				t.rect(hollow, x-4, y-4, 8, 8)
				t.cross(thin, x, y, 4)
			}
		})
	}
	for i := range t.s.Shafts {
		z := reachOfShaft(t.s, t.a, t.s.Shafts[i].Name)
		t.titled("shaft", t.s.Shafts[i].Name, func() { t.dashed(accent, i, t.px(z.lo), t.axis, t.px(z.hi), t.axis) })
	}
	for _, p := range t.s.Pockets {
		t.titled("pocket", p.Name, func() { t.diamond(hollow, t.px(float64(p.Z)), t.axis, 5) })
	}
}

// boreRadius is half a bore's diameter; 0 when it is not given.
func (t *section) boreRadius(at string) float64 {
	for _, p := range t.s.Parts {
		for _, b := range p.Bores {
			if p.Name+"/"+b.Name == at {
				return float64(b.Diameter.Or(0)) / 2
			}
		}
	}
	return 0
}
