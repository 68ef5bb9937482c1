package advise_test

import (
	"fmt"
	"math"
	"strings"

	"example.com/borestack/align"
	. "example.com/borestack/tolerance"
)

// The literal fitter, second part: what he sees and feels of the parts. Everything here is worked out from the raw measurements by means of its own: planes by least squares over the stations, centres by first harmonics, and how far a joint can be pushed by trying the corners of its float.

// flat is a point or displacement in a plane, in mm; clocks turn it clockwise seen from the tail.
type flat struct{ x, y float64 }

func (a flat) plus(b flat) flat     { return flat{a.x + b.x, a.y + b.y} }
func (a flat) minus(b flat) flat    { return flat{a.x - b.x, a.y - b.y} }
func (a flat) times(k float64) flat { return flat{a.x * k, a.y * k} }
func (a flat) dot(b flat) float64   { return a.x*b.x + a.y*b.y }
func (a flat) size() float64        { return math.Hypot(a.x, a.y) }
func (a flat) clockwise(t float64) flat {
	s, c := math.Sincos(t)
	return flat{a.x*c + a.y*s, a.y*c - a.x*s}
}
func toClock(t, size float64) flat { s, c := math.Sincos(t); return flat{size * s, size * c} }
func flatOf(v align.Vec2) flat     { return flat{float64(v.X), float64(v.Y)} }
func (a flat) vec() align.Vec2     { return align.Vec2{X: Length(a.x), Y: Length(a.y)} }
func slopeOf(s align.Slope) flat   { return flat{s.X, s.Y} }

// level is the plane z = z + s·(x, y).
type level struct {
	z float64
	s flat
}

func (l level) at(p flat) float64 { return l.z + l.s.dot(p) }

// stationOf is where station k is on the part, clockwise seen from its tail end.
func stationOf(r *align.Readings, k int) float64 {
	a := float64(r.First) + 2*math.Pi*float64(k)/float64(len(r.Values))
	if r.At != nil {
		a = float64(r.At[k])
	}
	if r.FromNose {
		return -a
	}
	return a
}

// harmonic is mean and first harmonic of readings, by least squares: the plane over a ring of radius 1.
func harmonic(r *align.Readings) level {
	var pts []align.Vec3
	for k, v := range r.Values {
		var sum Length
		for _, x := range v {
			sum += x / Length(len(v))
		}
		if u := toClock(stationOf(r, k), 1); len(v) > 0 {
			pts = append(pts, align.Vec3{X: Length(u.x), Y: Length(u.y), Z: sum})
		}
	}
	z, x, y := leastSquares(pts)
	return level{z, flat{x, y}}
}

func faceOf(p *align.Part, rear bool) *align.Face {
	if rear {
		return p.Rear
	}
	return p.Front
}

// planeAsMeasured is the plane of a face in the part's own frame.
func planeAsMeasured(p *align.Part, rear bool) level {
	f := faceOf(p, rear)
	switch {
	case len(f.Points) > 0:
		z, x, y := leastSquares(f.Points)
		return level{z, flat{x, y}}
	case f.Thickness != nil:
		h := harmonic(&f.Thickness.Readings)
		return level{h.z, h.s.times(1 / float64(f.Thickness.Radius))}
	case f.Sweep != nil: // plunger in: the face stands out
		k := 1 / float64(f.Sweep.Radius)
		if rear == f.Sweep.Out {
			k = -k
		}
		_, axis := aboutAxis(p, f.Sweep.About)
		return level{float64(f.Z), harmonic(&f.Sweep.Readings).s.times(k).minus(axis)}
	}
	return level{float64(f.Z), slopeOf(f.Slope)}
}

// aboutAxis is the axis that a dial was turned about: where it meets z = 0, and its slope.
func aboutAxis(p *align.Part, about string) (at, slope flat) {
	if about == "" {
		return flat{}, flat{}
	}
	_, name, _ := strings.Cut(about, "/")
	for i := range p.Bores {
		if b := &p.Bores[i]; b.Name == name {
			slope = slopeOf(b.Slope)
			return boreCentre(p, b).minus(slope.times(float64(b.Centre.Z))), slope
		}
	}
	return flat{}, flat{}
}

// sweptAt is a centre as a dial found it, from the axis that it turned about: a bore reads less where it stands nearer, a spigot more.
func sweptAt(w *align.Sweep, bore bool) flat {
	e := harmonic(&w.Readings).s
	if bore != w.Out {
		e = e.times(-1)
	}
	return e.minus(flat{y: float64(w.Droop + w.Lift)})
}

// boreCentre is the centre of a bore across its own part.
func boreCentre(p *align.Part, b *align.Bore) flat {
	if b.Sweep == nil {
		return flat{float64(b.Centre.X), float64(b.Centre.Y)}
	}
	at, slope := aboutAxis(p, b.Sweep.About)
	return at.plus(slope.times(float64(b.Centre.Z))).plus(sweptAt(b.Sweep, true))
}

// pilotAt is the centre of a pilot across its own part.
func pilotAt(p *align.Part, rear bool) flat {
	q := faceOf(p, rear).Pilot
	if q.Sweep == nil {
		return flatOf(q.Centre)
	}
	at, slope := aboutAxis(p, q.Sweep.About)
	on := at.plus(sweptAt(q.Sweep, q.Kind == align.PilotBore))
	return on.plus(slope.times(planeAsMeasured(p, rear).at(on)))
}

// axisOf is the slope of a pilot's axis: square to its face if nobody measured it.
func axisOf(p *align.Part, rear bool) flat {
	if q := faceOf(p, rear).Pilot; q.Slope.Given {
		return slopeOf(q.Slope.Value)
	}
	return planeAsMeasured(p, rear).s.times(-1)
}

// side is one side of a joint: a part's face as it is mounted, which end for end mirrors.
type side struct {
	p    *align.Part
	rear bool // of the part as measured
}

func (s side) mirror(v flat) flat {
	if s.p.Turned {
		v.x = -v.x
	}
	return v
}

// tilt mirrors a slope, of a face or of an axis.
func (s side) tilt(v flat) flat {
	if s.p.Turned {
		v.y = -v.y
	}
	return v
}

func (s side) face() *align.Face { return faceOf(s.p, s.rear) }

func (s side) hole(name string) *align.Dowel {
	for i := range s.face().Dowels {
		if d := &s.face().Dowels[i]; d.Name == name {
			return d
		}
	}
	return nil
}

// joint is what a fitter knows of a joint whose two parts he has before him: in the front part's x and y, the rear part at its clock, registered and not pushed.
type joint struct {
	front, behind side
	clock         float64
	stands        float64 // where the front part's 12 o'clock, as mounted, stands in the box
	a, b          flat    // registration points, each in its own part as mounted
	piloted       bool
	room          float64 // radial, of the pilot
	lean          flat    // ζτ: how much farther the pilots are apart at the end of the register than at its mouth
	pins          []pinRoom
}

// pinRoom is a dowel: where the rear hole is from the front one, from the registration point, and how much room the pin has.
type pinRoom struct {
	name    string
	off, at flat
	room    float64
	along   *flat // a flatted pin holds along this alone
}

// lookAt takes joint k apart.
func lookAt(s *align.Stack, k int) *joint {
	j := &s.Joints[k]
	front, behind := side{&s.Parts[k], !s.Parts[k].Turned}, side{&s.Parts[k+1], s.Parts[k+1].Turned}
	out := &joint{front: front, behind: behind, clock: float64(j.Clock)}
	for i := range k {
		out.stands += float64(s.Joints[i].Clock)
	}
	p, q := front.face().Pilot, behind.face().Pilot
	if p != nil && q != nil && p.Kind != q.Kind {
		out.piloted = true
		out.a, out.b = front.mirror(pilotAt(front.p, front.rear)), behind.mirror(pilotAt(behind.p, behind.rear))
		out.room = math.Abs(float64(p.Diameter-q.Diameter)) / 2
		if (p.Diameter > q.Diameter) != (p.Kind == align.PilotBore) {
			out.room = 0 // squeezed
		}
		gasket := flat{}
		if j.Gasket != nil {
			gasket = slopeOf(j.Gasket.Slope)
		}
		own := func(s side) flat { return s.tilt(axisOf(s.p, s.rear).plus(planeAsMeasured(s.p, s.rear).s)) } // from square to its face
		lean := own(behind).clockwise(out.clock).minus(own(front)).minus(gasket)
		out.lean = lean.times(float64(j.Engagement.Or(0)))
		if q.Kind == align.Spigot {
			out.lean = out.lean.times(-1)
		}
	}
	for _, pin := range j.Pins {
		h, g := front.hole(pin.Dowel), behind.hole(pin.Dowel)
		there := flatOf(g.Centre)
		at := behind.mirror(there).minus(out.b).clockwise(out.clock)
		r := pinRoom{name: pin.Dowel, at: at, off: out.a.plus(at).minus(front.mirror(flatOf(h.Centre))).minus(flatOf(pin.Step))}
		loose := [2]float64{math.Max(0, float64(h.Diameter-pin.Diameter)), math.Max(0, float64(g.Diameter-pin.Diameter))}
		switch pin.Pressed {
		case align.PressedFront:
			r.room = loose[1] / 2
		case align.PressedRear:
			r.room = loose[0] / 2
		default:
			r.room = (loose[0] + loose[1]) / 2
		}
		if pin.Locates.Given {
			n := slopeOf(pin.Locates.Value)
			n = n.times(1 / n.size())
			r.along = &n
		}
		out.pins = append(out.pins, r)
	}
	return out
}

// squeezed reports whether the register holds the part where it is: it is pushed nowhere.
func (j *joint) squeezed() bool { return j.piloted && j.lean.size()/2 >= j.room }

// rooms are the discs that the push must stay in at a turn, clockwise: centre and radius; and the strips of flatted pins.
func (j *joint) rooms(turn float64) (discs []disc, strips []strip) {
	if j.piloted {
		discs = append(discs, disc{flat{}, j.room}, disc{j.lean.times(-1), j.room})
	}
	for _, p := range j.pins {
		c := p.off.plus(flat{p.at.y, -p.at.x}.times(turn)).times(-1) // clockwise: up goes to the right
		if p.along != nil {
			strips = append(strips, strip{*p.along, p.along.dot(c), p.room})
		} else {
			discs = append(discs, disc{c, p.room})
		}
	}
	return discs, strips
}

type disc struct {
	c flat
	r float64
}

type strip struct {
	n    flat
	c, r float64
}

// give is what rounding leaves at corners, in mm.
const give = 1e-9

func inside(p flat, discs []disc, strips []strip) bool {
	for _, d := range discs {
		if p.minus(d.c).size() > d.r+give {
			return false
		}
	}
	for _, s := range strips {
		if math.Abs(s.n.dot(p)-s.c) > s.r+give {
			return false
		}
	}
	return true
}

// farthest is how far the part goes in a direction at one turn: the best of all corners of the discs and of their own farthest points.
func (j *joint) farthest(dir flat, turn float64) (float64, bool) {
	discs, strips := j.rooms(turn)
	best, found := math.Inf(-1), false
	try := func(p flat) {
		if v := dir.dot(p); v > best && inside(p, discs, strips) {
			best, found = v, true
		}
	}
	for i, d := range discs {
		try(d.c.plus(dir.times(d.r)))
		for _, e := range discs[:i] {
			for _, p := range crossings(d, e) {
				try(p)
			}
		}
		for _, s := range strips {
			for _, edge := range []float64{s.c - s.r, s.c + s.r} {
				along := edge - s.n.dot(d.c)
				if half := d.r*d.r - along*along; half >= 0 {
					foot, across := d.c.plus(s.n.times(along)), flat{-s.n.y, s.n.x}.times(math.Sqrt(half))
					try(foot.plus(across))
					try(foot.minus(across))
				}
			}
		}
	}
	return best, found
}

// crossings are the points where two circles meet.
func crossings(a, b disc) []flat {
	d := b.c.minus(a.c)
	l := d.size()
	if l == 0 || l > a.r+b.r+give || l < math.Abs(a.r-b.r)-give {
		return nil
	}
	u := d.times(1 / l)
	along := (l*l + a.r*a.r - b.r*b.r) / (2 * l)
	h := math.Sqrt(math.Max(0, a.r*a.r-along*along))
	foot := a.c.plus(u.times(along))
	return []flat{foot.plus(flat{-u.y, u.x}.times(h)), foot.minus(flat{-u.y, u.x}.times(h))}
}

// turnLimit bounds the turns that any pin allows.
func (j *joint) turnLimit() (lo, hi float64) {
	lo, hi = math.Inf(-1), math.Inf(1)
	for _, p := range j.pins {
		reach := p.room + p.off.size() + j.room + j.lean.size()
		if !j.piloted { // held by the other pins, which are as far away
			for _, q := range j.pins {
				reach += q.room + q.off.size()
			}
		}
		if r := p.at.size(); r > 0 {
			lo, hi = math.Max(lo, -reach/r), math.Min(hi, reach/r)
		}
	}
	if len(j.pins) == 0 {
		return 0, 0
	}
	return lo, hi
}

// reach is how far the part can be pushed in a direction of the front part's frame, turn and all: what is found at many turns, and then closer about the best of them.
func (j *joint) reach(dir flat) (float64, error) {
	if j.squeezed() {
		return j.lean.times(-0.5).dot(dir), nil
	}
	lo, hi := j.turnLimit()
	best, at := math.Inf(-1), 0.0
	const steps = 80
	for n := range 9 {
		d := (hi - lo) / steps
		for i := range steps + 1 {
			t := lo + float64(i)*d
			if v, ok := j.farthest(dir, t); ok && v > best {
				best, at = v, t
			}
		}
		if math.IsInf(best, -1) && n > 2 || d == 0 {
			break
		}
		if !math.IsInf(best, -1) {
			lo, hi = at-2*d, at+2*d
		}
	}
	if math.IsInf(best, -1) {
		return 0, fmt.Errorf("it does not go together")
	}
	return best, nil
}

// travels pushes the part both ways along a dial at 3 and one at 12 o'clock of the box: least and greatest of each.
func (j *joint) travels() (ends [2][2]float64, err error) {
	for n, at := range []float64{math.Pi / 2, 0} {
		dir := toClock(at-j.stands, 1)
		far, err := j.reach(dir)
		if err != nil {
			return ends, err
		}
		near, err := j.reach(dir.times(-1))
		if err != nil {
			return ends, err
		}
		ends[n] = [2]float64{-near, far}
	}
	return ends, nil
}

// middle is the zero of the two dials, in the box.
func (j *joint) middle() (flat, [2]float64, error) {
	t, err := j.travels()
	return flat{(t[0][0] + t[0][1]) / 2, (t[1][0] + t[1][1]) / 2}, [2]float64{t[0][1] - t[0][0], t[1][1] - t[1][0]}, err
}

// turnsAt is how far the part turns, clockwise, while it is held at a push in the front part's frame.
func (j *joint) turnsAt(f flat) (lo, hi float64, ok bool) {
	lo, hi = math.Inf(-1), math.Inf(1)
	for _, p := range j.pins {
		x, q := p.off.plus(f), flat{p.at.y, -p.at.x}
		if p.along != nil {
			x, q = p.along.times(p.along.dot(x)), p.along.times(p.along.dot(q))
		}
		qq := q.dot(q)
		if qq == 0 {
			continue
		}
		mid := -x.dot(q) / qq
		left := (p.room+give)*(p.room+give) - x.plus(q.times(mid)).dot(x.plus(q.times(mid)))
		if left < 0 {
			return 0, 0, false
		}
		lo, hi = math.Max(lo, mid-math.Sqrt(left/qq)), math.Min(hi, mid+math.Sqrt(left/qq))
	}
	if len(j.pins) == 0 {
		return 0, 0, true
	}
	return lo, hi, lo <= hi
}

// through is where a hole of the front part comes out in the part behind, in that part as measured, the part pushed and turned that far.
func (j *joint) through(h flat, push flat, turn float64) flat {
	return j.behind.mirror(j.b.plus(h.minus(j.a).minus(push).clockwise(-j.clock - turn)))
}

// back is where a hole of the part behind comes out in the front part, as measured.
func (j *joint) back(h flat, push flat, turn float64) flat {
	return j.front.mirror(j.a.plus(push).plus(j.behind.mirror(h).minus(j.b).clockwise(j.clock + turn)))
}
