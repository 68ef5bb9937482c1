package advise

import (
	"math"
	"slices"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// tilted is the plane z = z0 + s·(x, y), in mm and ratios.
type tilted struct {
	z0 tolerance.Length
	s  align.Slope
}

func (t tilted) at(x, y tolerance.Length) tolerance.Length {
	return t.z0 + tolerance.Length(t.s.X)*x + tolerance.Length(t.s.Y)*y
}

// ring is the height at a clock angle and radius.
func (t tilted) ring(theta tolerance.Angle, radius tolerance.Length) tolerance.Length {
	v := towards(radius, theta)
	return t.at(v.X, v.Y)
}

// depth is how deep a cut goes: By at its shallowest, By + Rise where it is deepest, across Across.
func (c Correction) depth() tilted { return tilted{c.By + c.Rise/2, c.wedge()} }

// face finds the face that the place names.
func (c Correction) face(s *align.Stack) (p *align.Part, rear bool, err error) {
	name, side, _ := strings.Cut(c.Place, "/")
	rear = side == "rear"
	if i := partNamed(s, name); i >= 0 && (rear || side == "front") && faceOf(&s.Parts[i], rear) != nil {
		return &s.Parts[i], rear, nil
	}
	return nil, false, c.unknown("a face of the stack, \"part/front\" or \"part/rear\"")
}

// skim cuts a face. Whatever else is on the part stays where it was: pilot and bores are not cut, so a pilot that was taken to be square to its face keeps its axis.
func (c Correction) skim(s *align.Stack) error {
	p, rear, err := c.face(s)
	if err != nil {
		return err
	}
	cut := c.depth()
	f := faceOf(p, rear)
	was, err := planeOf(p, rear)
	if err != nil {
		return err
	}
	if f.Pilot != nil && !f.Pilot.Slope.Given { // it was taken to be square to the face that is about to be cut
		f.Pilot.Slope = tolerance.Given(align.Slope{X: -was.s.X, Y: -was.s.Y})
	}
	if !rear && p.Rear != nil && p.Rear.Thickness != nil {
		// the front face is the micrometer's datum, and stays at z = 0
		reframe(p, cut)
		t := p.Rear.Thickness
		addTo(&t.Readings, func(a tolerance.Angle) tolerance.Length { return -cut.ring(a, t.Radius) })
		return nil
	}
	into := tilted{-cut.z0, align.Slope{X: -cut.s.X, Y: -cut.s.Y}} // a rear face goes forward
	if !rear {
		into = cut
	}
	switch {
	case f.Thickness != nil:
		addTo(&f.Thickness.Readings, func(a tolerance.Angle) tolerance.Length { return into.ring(a, f.Thickness.Radius) })
	case len(f.Points) > 0:
		cutLevel(f, tilted{was.z0 + into.z0, align.Slope{X: was.s.X + into.s.X, Y: was.s.Y + into.s.Y}}, rear)
	case f.Sweep != nil:
		sign := tolerance.Length(-1)
		if f.Sweep.Out {
			sign = 1
		}
		addTo(&f.Sweep.Readings, func(a tolerance.Angle) tolerance.Length { return sign * cut.ring(a, f.Sweep.Radius) })
		f.Z += into.z0
	default:
		f.Z += into.z0
		f.Slope.X += into.s.X
		f.Slope.Y += into.s.Y
	}
	return nil
}

// cutLevel leaves the points that a cut reaches in its plane: its waves go with what comes off, and what lies deeper stays.
func cutLevel(f *align.Face, to tilted, rear bool) {
	for i := range f.Points {
		q := &f.Points[i]
		if z := to.at(q.X, q.Y); (z < q.Z) == rear {
			q.Z = z
		}
	}
}

// planeOf is the plane of a face as measured, by the model itself, of a part without its other face.
func planeOf(p *align.Part, rear bool) (tilted, error) {
	q := *p
	if q.Front = nil; !rear {
		q.Front, q.Rear = p.Front, nil
	}
	if err := (align.Stack{Parts: []align.Part{q}}).Validate(); err != nil {
		return tilted{}, err
	}
	at := q.Located()
	if rear {
		return tilted{at.Rear.Z, at.Rear.Slope}, nil
	}
	return tilted{at.Front.Z, at.Front.Slope}, nil
}

// reframe gives a part a new frame, whose z = 0 is the plane to: everything but its front face and the readings of its thickness is restated. The turn is to first order in the slope: what it leaves out is its square, below a nanometre for any skim.
func reframe(p *align.Part, to tilted) {
	sx, sy := tolerance.Length(to.s.X), tolerance.Length(to.s.Y)
	shift := func(z tolerance.Length) align.Vec2 { return align.Vec2{X: sx * (z - to.z0), Y: sy * (z - to.z0)} }
	for i := range p.Bores {
		b := &p.Bores[i]
		if b.Sweep == nil {
			d := shift(b.Centre.Z)
			b.Centre.Z -= to.at(b.Centre.X, b.Centre.Y)
			b.Centre.X += d.X
			b.Centre.Y += d.Y
		} else {
			if b.Sweep.About == "" {
				shiftSwept(b.Sweep, true, shift(b.Centre.Z))
			}
			b.Centre.Z -= to.z0
		}
		b.Slope.X += to.s.X
		b.Slope.Y += to.s.Y
	}
	for n, f := range []*align.Face{p.Front, p.Rear} {
		if f == nil {
			continue
		}
		height := tolerance.Length(0)
		if n == 1 && f.Thickness != nil {
			height = meanOf(&f.Thickness.Readings)
		}
		d := shift(height)
		for i := range f.Dowels {
			f.Dowels[i].Centre.X += d.X
			f.Dowels[i].Centre.Y += d.Y
		}
		if q := f.Pilot; q != nil {
			switch {
			case q.Sweep == nil:
				q.Centre.X += d.X
				q.Centre.Y += d.Y
			case q.Sweep.About == "":
				shiftSwept(q.Sweep, q.Kind == align.PilotBore, d)
			}
			if q.Slope.Given {
				q.Slope.Value.X += to.s.X
				q.Slope.Value.Y += to.s.Y
			}
		}
	}
}

// meanOf is the mean of the stations read.
func meanOf(r *align.Readings) tolerance.Length {
	var means []tolerance.Length
	for _, v := range r.Values {
		if len(v) > 0 {
			means = append(means, mean(v))
		}
	}
	return mean(means)
}

// mean is that of some lengths; 0 of none.
func mean(v []tolerance.Length) tolerance.Length { return total(v) / tolerance.Length(max(1, len(v))) }

// total is the sum of some lengths.
func total(v []tolerance.Length) (sum tolerance.Length) {
	for _, x := range v {
		sum += x
	}
	return sum
}

// faceOf is one of the two faces of a part as measured; nil where it has none.
func faceOf(p *align.Part, rear bool) *align.Face {
	if rear {
		return p.Rear
	}
	return p.Front
}

// marked is the clock angle of station k of r, clockwise seen from the tail of the part as measured.
func marked(r *align.Readings, k int) tolerance.Angle {
	a := r.First + tolerance.Angle(2*math.Pi*float64(k)/float64(len(r.Values)))
	if r.At != nil {
		a = r.At[k]
	}
	if r.FromNose {
		a = -a
	}
	return a
}

// addTo adds what of gives at each station's angle to every reading there.
func addTo(r *align.Readings, of func(theta tolerance.Angle) tolerance.Length) {
	for k := range r.Values {
		d := of(marked(r, k))
		for n := range r.Values[k] {
			r.Values[k][n] += d
		}
		if k == 0 && r.Closing.Given {
			r.Closing.Value += d
		}
	}
}

// along is the component of v in the direction of a clock angle.
func along(v align.Vec2, theta tolerance.Angle) tolerance.Length {
	sn, cs := math.Sincos(float64(theta))
	return v.X*tolerance.Length(sn) + v.Y*tolerance.Length(cs)
}

// shiftSwept makes the readings those of a centre that is v further on: with "in" positive a spigot reads +e·u(θ), a bore -e·u(θ). The readings keep their uncertainty.
func shiftSwept(w *align.Sweep, bore bool, v align.Vec2) {
	sign := tolerance.Length(1)
	if bore != w.Out {
		sign = -1
	}
	addTo(&w.Readings, func(t tolerance.Angle) tolerance.Length { return sign * along(v, t) })
}

// moveBore moves a support bore by By towards Clock, on the part as measured. Features that were swept about it stay where they are.
func (c Correction) moveBore(s *align.Stack) error {
	p, b := boreNamed(s, c.Place)
	if p == nil {
		return c.unknown("a bore of the stack, \"part/bore\"")
	}
	v := towards(c.By, c.Clock)
	q := &p.Bores[b]
	if q.Sweep != nil {
		shiftSwept(q.Sweep, true, v)
	} else {
		q.Centre.X += v.X
		q.Centre.Y += v.Y
	}
	about, back := p.Name+"/"+q.Name, align.Vec2{X: -v.X, Y: -v.Y}
	for k := range p.Bores {
		if w := p.Bores[k].Sweep; k != b && w != nil && sameBore(w.About, about) {
			shiftSwept(w, true, back)
		}
	}
	for _, f := range []*align.Face{p.Front, p.Rear} {
		if f != nil && f.Pilot != nil && f.Pilot.Sweep != nil && sameBore(f.Pilot.Sweep.About, about) {
			shiftSwept(f.Pilot.Sweep, f.Pilot.Kind == align.PilotBore, back)
		}
	}
	return nil
}

// boreNamed is a part and which of its bores "part/bore" is; nil where there is none.
func boreNamed(s *align.Stack, name string) (*align.Part, int) {
	part, bore, _ := strings.Cut(name, "/")
	if i := partNamed(s, part); i >= 0 {
		if b := slices.IndexFunc(s.Parts[i].Bores, func(b align.Bore) bool { return b.Name == bore }); b >= 0 {
			return &s.Parts[i], b
		}
	}
	return nil, 0
}

// sameBore compares bores of one part: a candidate keeps its own name in the sweeps it brought.
func sameBore(a, b string) bool {
	_, x, _ := strings.Cut(a, "/")
	_, y, _ := strings.Cut(b, "/")
	return a != "" && x == y
}
