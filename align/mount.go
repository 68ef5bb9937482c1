package align

import (
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/internal/seat"
)

// mountedFace is a meeting face as mounted, at its temperature.
type mountedFace struct {
	given    bool
	p        seat.Plane
	diameter float64 // 0: not given
	pilot    bool
	kind     PilotKind
	cx, cy   float64 // pilot centre
	pilotD   float64
	px, py   float64 // pilot axis slope
	squared  bool    // assumed square to its face
	dowels   []mountedHole
	points   []r3.Vec
}

type mountedHole struct{ x, y, d float64 }

type mountedBore struct {
	c      r3.Vec
	sx, sy float64

	inS     r3.Vec // its centre in S at the kernel's placing of that number
	placing int
}

// mountedPart is a part's features in its own frame as mounted: brought to its temperature, and
// turned end for end if it is.
type mountedPart struct {
	front, rear *mountedFace // as mounted: of faces, exchanged when the part is turned
	bores       []mountedBore
	moved       r3.Vec
	warm        float64 // degrees above 20 °C
	expansion   float64

	faces                 [2]mountedFace // front and rear as measured
	faceRings, pilotRings [2]ring        // fits of face sweeps or thickness, and of pilot sweeps
	boreRings             []ring
}

// newMountedPart reserves memory for a part like p.
func newMountedPart(p *Part) mountedPart {
	m := mountedPart{bores: make([]mountedBore, len(p.Bores)), boreRings: make([]ring, len(p.Bores))}
	for i, f := range []*Face{p.Front, p.Rear} {
		if f != nil {
			m.faces[i].dowels = make([]mountedHole, len(f.Dowels))
			m.faces[i].points = make([]r3.Vec, len(f.Points))
		}
	}
	return m
}

// mount works out p's features.
func (m *mountedPart) mount(p *Part) {
	m.front, m.rear = &m.faces[0], &m.faces[1]
	m.expansion = p.Material.Value.Expansion
	m.warm = float64(p.Temperature.Or(20)) - 20
	k := p.Growth()
	m.moved = vecMM(p.Moved)
	m.mountBores(p)
	m.mountFace(0, p.Front, p)
	m.mountFace(1, p.Rear, p)
	m.front.scale(k)
	m.rear.scale(k)
	for i := range m.bores {
		m.bores[i].c = r3.Scale(k, m.bores[i].c)
	}
	if p.Turned {
		m.front.turn()
		m.rear.turn()
		m.front, m.rear = m.rear, m.front
		for i := range m.bores {
			b := &m.bores[i]
			b.c.X, b.c.Z = -b.c.X, -b.c.Z
			b.sy = -b.sy
		}
	}
}

// Facing is the face that looks rearward, or forward, as the part is mounted; nil where it has none
// there.
func (p *Part) Facing(rear bool) *Face {
	if rear != p.Turned {
		return p.Rear
	}
	return p.Front
}

// Growth is how many times as long the part is as when it was measured: 1 without a material.
func (p *Part) Growth() float64 {
	if !p.Material.Given {
		return 1
	}
	a := p.Material.Value.Expansion
	return (1 + a*(float64(p.Temperature.Or(20))-20)) / (1 + a*(float64(p.MeasuredAt.Or(20))-20))
}

// mountBores sets the bores, swept ones after those that they were swept about.
func (m *mountedPart) mountBores(p *Part) {
	for i := range p.Bores {
		b := &p.Bores[i]
		m.bores[i] = mountedBore{c: vecMM(b.Centre), sx: b.Slope.X, sy: b.Slope.Y}
	}
	// A chain of sweeps is as long as the part has bores; validation refuses circles.
	for range p.Bores {
		again := false
		for i := range p.Bores {
			b := &p.Bores[i]
			if b.Sweep == nil {
				continue
			}
			about := m.axis(p, b.Sweep.About)
			ex, ey := sweptCentre(b.Sweep, &m.boreRings[i], -1)
			c := &m.bores[i].c
			x, y := about.at(c.Z)
			if c.X != x+ex || c.Y != y+ey {
				c.X, c.Y = x+ex, y+ey
				again = true
			}
		}
		if !again {
			break
		}
	}
}

// axis is the line that a sweep turned about: that of the bore "part/bore", or the part's z axis.
func (m *mountedPart) axis(p *Part, about string) axisLine {
	i := p.boreOf(about)
	if i < 0 {
		return axisLine{}
	}
	b := &m.bores[i]
	return lineThrough(b.c.X, b.c.Y, b.c.Z, b.sx, b.sy)
}

// sweptCentre is the centre found by a dial on a register or bore, from the axis it turned about:
// +1 for a spigot, swept from outside, -1 for a bore.
func sweptCentre(s *Sweep, g *ring, sign float64) (ex, ey float64) {
	_, c, sn := g.fit(&s.Readings)
	if s.Out {
		sign = -sign
	}
	return sign * sn, sign*c - float64(s.Droop) - float64(s.Lift)
}

// mountFace sets the front (0) or rear (1) face as measured.
func (m *mountedPart) mountFace(side int, f *Face, p *Part) {
	dst := &m.faces[side]
	dst.given = f != nil
	if f == nil {
		return
	}
	rg, pg := &m.faceRings[side], &m.pilotRings[side]
	dst.p = seat.Plane{Z: float64(f.Z), SX: f.Slope.X, SY: f.Slope.Y}
	switch {
	case len(f.Points) > 0:
		for i, q := range f.Points {
			dst.points[i] = vecMM(q)
		}
		dst.p = seat.Fit(dst.points)
	case f.Thickness != nil:
		rg.planeOnly = true
		t, c, s := rg.fit(&f.Thickness.Readings)
		r := float64(f.Thickness.Radius)
		dst.p = seat.Plane{Z: t, SX: s / r, SY: c / r}
	case f.Sweep != nil:
		_, c, s := rg.fit(&f.Sweep.Readings)
		k := 1 / float64(f.Sweep.Radius)
		if side == 0 {
			k = -k
		}
		if f.Sweep.Out {
			k = -k
		}
		about := m.axis(p, f.Sweep.About)
		dst.p.SX, dst.p.SY = k*s-about.sx, k*c-about.sy
	}
	dst.diameter = float64(f.Diameter.Or(0))
	dst.pilot = f.Pilot != nil
	if q := f.Pilot; q != nil {
		dst.kind, dst.pilotD = q.Kind, float64(q.Diameter)
		dst.cx, dst.cy = float64(q.Centre.X), float64(q.Centre.Y)
		if q.Sweep != nil {
			sign := 1.0
			if q.Kind == PilotBore {
				sign = -1
			}
			about := m.axis(p, q.Sweep.About)
			ex, ey := sweptCentre(q.Sweep, pg, sign)
			// the centre lies on the face: z = z + s·c, c = axis(z) + e
			bx, by := about.x+ex, about.y+ey
			z := dst.p.At(bx, by) / (1 - dst.p.SX*about.sx - dst.p.SY*about.sy)
			dst.cx, dst.cy = bx+about.sx*z, by+about.sy*z
		}
		dst.squared = !q.Slope.Given
		dst.px, dst.py = q.Slope.Value.X, q.Slope.Value.Y
		if dst.squared {
			dst.px, dst.py = -dst.p.SX, -dst.p.SY
		}
	}
	for i := range f.Dowels {
		d := &f.Dowels[i]
		dst.dowels[i] = mountedHole{float64(d.Centre.X), float64(d.Centre.Y), float64(d.Diameter)}
	}
}

func (f *mountedFace) scale(k float64) {
	if k == 1 {
		return
	}
	f.p.Z *= k
	f.diameter *= k
	f.cx, f.cy, f.pilotD = f.cx*k, f.cy*k, f.pilotD*k
	for i := range f.dowels {
		d := &f.dowels[i]
		d.x, d.y, d.d = d.x*k, d.y*k, d.d*k
	}
	for i := range f.points {
		f.points[i] = r3.Scale(k, f.points[i])
	}
}

// turn mounts the face end for end: (x, y, z) becomes (-x, y, -z).
func (f *mountedFace) turn() {
	f.p.Z, f.p.SY = -f.p.Z, -f.p.SY
	f.cx, f.py = -f.cx, -f.py
	for i := range f.dowels {
		f.dowels[i].x = -f.dowels[i].x
	}
	for i := range f.points {
		q := &f.points[i]
		q.X, q.Z = -q.X, -q.Z
	}
}
