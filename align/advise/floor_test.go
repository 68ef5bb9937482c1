package advise_test

import (
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	. "example.com/borestack/tolerance"
)

// The shop floor: what a sheet says is done to the parts themselves, in another way than the library does it. Faces become measured points, readings become plain numbers, and a turned or clocked part is restated as it sits.

// plain restates a part without readings: what was measured of it, as numbers. Thickness is fitted as a plane by sums over its stations, a sweep by its first harmonic (ISO 1101 and the dial's own geometry, not the library's fit).
func plain(p align.Part) align.Part {
	fit := func(r *align.Readings) (mean, x, y float64) {
		m := float64(len(r.Values))
		for k, v := range r.Values {
			a := float64(r.First) + 2*math.Pi*float64(k)/m
			if r.FromNose {
				a = -a
			}
			mean += float64(v[0]) / m
			x += 2 * float64(v[0]) * math.Sin(a) / m
			y += 2 * float64(v[0]) * math.Cos(a) / m
		}
		return mean, x, y
	}
	face := func(f *align.Face) *align.Face {
		if f == nil {
			return nil
		}
		g := *f
		g.Dowels = append([]align.Dowel(nil), f.Dowels...)
		if t := f.Thickness; t != nil {
			mean, x, y := fit(&t.Readings)
			g.Thickness, g.Z = nil, Length(mean)
			g.Slope = align.Slope{X: x / float64(t.Radius), Y: y / float64(t.Radius)}
		}
		if len(f.Points) > 0 {
			z, x, y := leastSquares(f.Points)
			g.Points, g.Z, g.Slope = nil, Length(z), align.Slope{X: x, Y: y}
		}
		if f.Pilot != nil {
			q := *f.Pilot
			if q.Sweep != nil { // a spigot reads +e·u about the bearing, whose axis is along z
				_, x, y := fit(&q.Sweep.Readings)
				q.Sweep, q.Centre = nil, align.Vec2{X: p.Bores[0].Centre.X + Length(x), Y: p.Bores[0].Centre.Y + Length(y)}
			}
			if !q.Slope.Given { // no cut and no turn changes the axis that it has
				q.Slope = Given(align.Slope{X: -g.Slope.X, Y: -g.Slope.Y})
			}
			g.Pilot = &q
		}
		return &g
	}
	p.Front, p.Rear = face(p.Front), face(p.Rear)
	p.Bores = append([]align.Bore(nil), p.Bores...)
	for i := range p.Bores {
		if w := p.Bores[i].Sweep; w != nil { // a bore swept from inside reads -e·u
			_, x, y := fit(&w.Readings)
			p.Bores[i].Sweep = nil
			p.Bores[i].Centre.X, p.Bores[i].Centre.Y = Length(-x), Length(-y)
		}
	}
	return p
}

// leastSquares is the plane z = z + x·X + y·Y of points, by the normal equations.
func leastSquares(pts []align.Vec3) (z, x, y float64) {
	var a [3][4]float64
	for _, p := range pts {
		r := [4]float64{1, float64(p.X), float64(p.Y), float64(p.Z)}
		for i := range 3 {
			for j := range 4 {
				a[i][j] += r[i] * r[j]
			}
		}
	}
	for i := range 3 {
		for k := i + 1; k < 3; k++ {
			f := a[k][i] / a[i][i]
			for j := i; j < 4; j++ {
				a[k][j] -= f * a[i][j]
			}
		}
	}
	y = a[2][3] / a[2][2]
	x = (a[1][3] - a[1][2]*y) / a[1][1]
	return (a[0][3] - a[0][1]*x - a[0][2]*y) / a[0][0], x, y
}

// byMarks is the plane of a sheet's amounts over the part's x and y.
func byMarks(o *advise.WorkOrder, radius Length) (z, x, y float64) {
	var pts []align.Vec3
	for _, m := range o.Marks {
		sn, cs := math.Sincos(float64(m.Clock))
		pts = append(pts, align.Vec3{X: radius * Length(sn), Y: radius * Length(cs), Z: m.Amount})
	}
	return leastSquares(pts)
}

// bench is the stack with every part restated plainly.
func bench(s align.Stack) align.Stack {
	s.Parts = append([]align.Part(nil), s.Parts...)
	for i := range s.Parts {
		s.Parts[i] = plain(s.Parts[i])
	}
	s.Joints = append([]align.Joint(nil), s.Joints...)
	return s
}

func partOf(s *align.Stack, name string) int {
	for i := range s.Parts {
		if s.Parts[i].Name == name {
			return i
		}
	}
	return -1
}

func jointOf(s *align.Stack, name string) int {
	for k := range s.Joints {
		if s.JointName(k) == name {
			return k
		}
	}
	return -1
}

// carryOut does what one order of a sheet says.
func carryOut(s align.Stack, o *advise.WorkOrder) (align.Stack, error) {
	c := o.Correction
	sn, cs := math.Sincos(float64(c.Clock))
	move := align.Vec2{X: c.By * Length(sn), Y: c.By * Length(cs)}
	i := partOf(&s, o.Part)
	switch c.Kind {
	case advise.Skim, advise.SkimWedge:
		z, x, y := byMarks(o, c.Across/2)
		f := s.Parts[i].Front
		if o.Face == "rear" {
			f, z, x, y = s.Parts[i].Rear, -z, -x, -y
		}
		f.Z += Length(z)
		f.Slope.X += x
		f.Slope.Y += y
	case advise.Shim, advise.TaperShim:
		k := jointOf(&s, c.Place)
		g := align.Gasket{}
		if s.Joints[k].Gasket != nil && !c.Replace {
			g = *s.Joints[k].Gasket
		}
		if c.Kind == advise.Shim {
			g.Thickness += c.By
		} else {
			z, x, y := byMarks(o, c.Across/2)
			g.Thickness += Length(z)
			g.Slope.X += x
			g.Slope.Y += y
		}
		s.Joints[k].Gasket = &g
	case advise.OffsetDowels: // as if the holes in front had been drilled where the pins' rear ends are
		for _, name := range o.Pins() {
			for d := range s.Parts[i].Rear.Dowels {
				if h := &s.Parts[i].Rear.Dowels[d]; h.Name == name {
					h.Centre.X += move.X
					h.Centre.Y += move.Y
				}
			}
		}
	case advise.Redowel: // held where the dial says; nothing is reamed
		k := jointOf(&s, c.Place)
		a, err := s.Solve()
		if err != nil {
			return s, err
		}
		f := a.Joints[k].Float
		f.X += move.X
		f.Y += move.Y
		f.Turn += c.Turn
		s.Joints[k].Float = &f
	case advise.Sleeve, advise.Bush:
		b := &s.Parts[i].Bores[0]
		b.Centre.X += move.X
		b.Centre.Y += move.Y
	case advise.Swap:
		for n, p := range s.Candidates[0].Parts {
			if n == c.Part {
				p = plain(p)
				p.Name = c.Place
				s.Parts[partOf(&s, c.Place)] = p
			}
		}
	case advise.TurnOver:
		p := &s.Parts[partOf(&s, c.Place)]
		over := func(f *align.Face) {
			f.Z, f.Slope.Y = -f.Z, -f.Slope.Y
			f.Pilot.Centre.X = -f.Pilot.Centre.X
			f.Pilot.Slope.Value.Y = -f.Pilot.Slope.Value.Y
			for d := range f.Dowels {
				f.Dowels[d].Centre.X = -f.Dowels[d].Centre.X
			}
		}
		over(p.Front)
		over(p.Rear)
		p.Front, p.Rear = p.Rear, p.Front
		b := &p.Bores[0]
		b.Centre.X, b.Centre.Z, b.Slope.Y = -b.Centre.X, -b.Centre.Z, -b.Slope.Y
	case advise.Reclock: // the plate's own features turned, its dowels left out: it sits by its pilots
		k := partOf(&s, c.Place)
		sn, cs := math.Sincos(-float64(c.Turn)) // clockwise seen from the tail is left-handed about z
		turn := func(x, y *float64) { *x, *y = cs**x-sn**y, sn**x+cs**y }
		turnL := func(v *align.Vec2) {
			x, y := float64(v.X), float64(v.Y)
			turn(&x, &y)
			*v = align.Vec2{X: Length(x), Y: Length(y)}
		}
		p := &s.Parts[k]
		for _, f := range []*align.Face{p.Front, p.Rear} {
			turn(&f.Slope.X, &f.Slope.Y)
			turnL(&f.Pilot.Centre)
			turn(&f.Pilot.Slope.Value.X, &f.Pilot.Slope.Value.Y)
		}
		b := &p.Bores[0]
		v := align.Vec2{X: b.Centre.X, Y: b.Centre.Y}
		turnL(&v)
		b.Centre.X, b.Centre.Y = v.X, v.Y
		turn(&b.Slope.X, &b.Slope.Y)
		s.Joints[k-1].Pins, s.Joints[k].Pins = nil, nil
	case advise.Push:
		for _, f := range c.Floats {
			at := f.Float
			s.Joints[jointOf(&s, f.Joint)].Float = &at
		}
	}
	return s, nil
}
