package align

import (
	"math"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/floatset"
)

// shadow is where a plane vector can be over the floats, to first order: a convex set in the plane,
// known by its farthest point in every direction. The farthest point of all from the origin is the
// vector's greatest length.
type shadow struct {
	o       *over
	x, y    float64        // the vector where the floats were followed from
	gx, gy  []float64      // how it follows them, component by component
	aside   []floatset.Vec // floats of the point last looked at,
	top     []floatset.Vec // and of the farthest or nearest one, of the loose joints,
	other   []floatset.Vec // and of others that the nearest lies between
	third   []floatset.Vec
	far     rim     // the farthest
	upAngle float64 // clock angle of the nearest
	open    []arc

	lobes        []lobe
	restX, restY float64 // the vector but for the floats
	coverKnown   bool    // the lobes have been looked for,
	covers       bool    // and found
}

// rim is a point of the shadow's rim: the farthest in the direction at the clock angle, h along it.
type rim struct{ angle, h, x, y, r float64 }

// arc is the rim between two directions less than half a turn apart.
type arc struct{ a, b rim }

// Of the search round a shadow.
const (
	maxArcs   = 40
	maxLooks  = 120
	polishing = 12    // steps to a top
	onTop     = 1e-12 // share of the length within which a point is as far as the farthest
	facing    = 1e-8  // rad: a point that lies so near its own direction is a top
	deaf      = 1e-13 // share of the weights, a float that follows by less is not felt
	oneWay    = 1e-14 // rad: directions so near are one, some roundings of an angle
)

// look finds the farthest point at a clock angle.
func (s *shadow) look(angle float64) (rim, error) {
	o := s.o
	sin, cos := math.Sincos(angle)
	p := rim{angle: angle, x: s.x, y: s.y}
	for l, j := range o.loose {
		gx, gy := (*[3]float64)(s.gx[3*l:]), (*[3]float64)(s.gy[3*l:])
		from := o.from[j.joint]
		s.aside[l] = from
		if *gx == ([3]float64{}) && *gy == ([3]float64{}) {
			continue
		}
		v, err := j.set.Farthest(floatset.Vec{X: sin*gx[0] + cos*gy[0], Y: sin*gx[1] + cos*gy[1], G: sin*gx[2] + cos*gy[2]})
		if err != nil {
			return p, err
		}
		s.aside[l] = v
		dx, dy, dg := v.X-from.X, v.Y-from.Y, v.G-from.G
		p.x += gx[0]*dx + gx[1]*dy + gx[2]*dg
		p.y += gy[0]*dx + gy[1]*dy + gy[2]*dg
	}
	p.h = sin*p.x + cos*p.y
	p.r = dense.Length(p.x, p.y)
	return p, nil
}

// note keeps a point that is farther than the farthest.
func (s *shadow) note(p *rim) bool {
	if !(p.r > s.far.r) {
		return false
	}
	s.far = *p
	copy(s.top, s.aside)
	return true
}

// lean is the angle from a point's own direction to where it lies.
func (p *rim) lean() float64 {
	sin, cos := math.Sincos(p.angle)
	return math.Atan2(cos*p.x-sin*p.y, p.h)
}

// climb goes to the top that lies uphill of p: turning to where the farthest point lies never loses
// length, and the secant of how far that turns makes it quick.
func (s *shadow) climb(p rim) (rim, error) {
	lean := p.lean()
	var last, lastLean float64
	for step := range polishing {
		if math.Abs(lean) <= facing || p.r == 0 {
			break
		}
		turn := lean
		if step > 0 && lastLean != lean {
			if slope := (lean - lastLean) / (p.angle - last); slope < 0 {
				turn = math.Copysign(math.Min(math.Abs(lean/slope), 4*math.Abs(lean)), lean)
			}
		}
		next, err := s.look(p.angle + turn)
		if err != nil {
			return p, err
		}
		s.note(&next)
		if next.r < p.r && turn != lean {
			if next, err = s.look(p.angle + lean); err != nil {
				return p, err
			}
			s.note(&next)
		}
		last, lastLean = p.angle, lean
		p = next
		lean = p.lean()
	}
	return p, nil
}

// longest finds the greatest length of the vector to within a share of itself, unless it is no more
// than enough; and a bound that no point exceeds.
//
// The lines square to two directions through their farthest points meet at a point that the rim
// between them cannot reach beyond; arcs that could are looked into until none could by more than
// the share. Near a top the arcs grow as their distance from it, for so does what is to spare.
func (s *shadow) longest(enough, share float64) (bound float64, err error) {
	s.far = rim{r: math.Inf(-1)}
	p, err := s.look(s.heading())
	if err != nil {
		return 0, err
	}
	s.note(&p)
	if p, err = s.climb(p); err != nil {
		return 0, err
	}
	if bound, ok := s.within(math.Max(s.far.r*(1+share), enough), share); ok {
		return math.Max(bound, s.far.r), nil
	}
	if err := s.quarters(p); err != nil {
		return 0, err
	}
	for looks := 0; len(s.open) > 0; looks++ {
		c := s.open[len(s.open)-1]
		s.open = s.open[:len(s.open)-1]
		reach := c.reach()
		if reach <= math.Max(s.far.r*(1+share), enough) || looks >= maxLooks || len(s.open)+3 > maxArcs {
			bound = math.Max(bound, reach)
		} else if err := s.cut(&c, (c.a.angle+c.b.angle)/2); err != nil {
			return 0, err
		}
	}
	return math.Max(bound, s.far.r), nil
}

// cut opens the parts of an arc on both sides of a direction, and of the top that its point leads to
// where that is farther than all.
func (s *shadow) cut(c *arc, angle float64) error {
	mid, err := s.look(angle)
	if err != nil {
		return err
	}
	one, two := mid, mid
	if s.note(&mid) {
		top, err := s.climb(mid)
		if err != nil {
			return err
		}
		if top.angle > c.a.angle && top.angle < mid.angle {
			one = top
		} else if top.angle > mid.angle && top.angle < c.b.angle {
			two = top
		}
	}
	s.open = append(s.open, arc{c.a, one})
	if one.angle < two.angle {
		s.open = append(s.open, arc{one, two})
	}
	s.open = append(s.open, arc{two, c.b})
	return nil
}

// heading is the clock angle of where the vector is followed from; 0 at the origin.
func (s *shadow) heading() float64 {
	if s.x == 0 && s.y == 0 {
		return 0
	}
	return math.Atan2(s.x, s.y)
}

// quarters opens four arcs round the rim, from p on.
func (s *shadow) quarters(p rim) error {
	s.open = s.open[:0]
	last := p
	for i := 1; i < 4; i++ {
		q, err := s.look(p.angle + float64(i)*math.Pi/2)
		if err != nil {
			return err
		}
		s.note(&q)
		s.open = append(s.open, arc{last, q})
		last = q
	}
	p.angle += 2 * math.Pi
	s.open = append(s.open, arc{last, p})
	return nil
}

// reach is how far the rim between two directions can be at most.
func (c *arc) reach() float64 {
	sin, cos := math.Sincos(c.b.angle - c.a.angle)
	return corner(c.a.h, c.b.h, sin, cos)
}

// reset makes the shadow a point at the origin that follows no float.
func (s *shadow) reset(o *over) {
	n := len(o.loose)
	s.o, s.x, s.y, s.coverKnown = o, 0, 0, false
	s.gx, s.gy = dense.Resize(s.gx, 3*n), dense.Resize(s.gy, 3*n)
	clear(s.gx)
	clear(s.gy)
	s.aside, s.top = dense.Resize(s.aside, n), dense.Resize(s.top, n)
}

// quiet takes out floats that the vector follows by rounding alone, where sums of weights cancel.
func (s *shadow) quiet() {
	for l, j := range s.o.loose {
		gx, gy := s.gx[3*l:3*l+3], s.gy[3*l:3*l+3]
		arm := j.set.CharLength
		if dense.Length(dense.Length(gx[0], gx[1]), dense.Length(gy[0], gy[1])) <= deaf && dense.Length(gx[2], gy[2]) <= deaf*arm {
			clear(gx)
			clear(gy)
		}
	}
}

// nearest finds the least length of the vector, to rounding, and floats at which it is attained, in
// top.
//
// The least of the vector along a direction is never more than its least length, and as great as
// that along the shortest vector itself, which lies between any direction and that of the point
// that is least along it, or else a quarter of a turn on. Its slope says which way to turn, by the
// secant and square to the chord in turn. Where the slope jumps, the shortest vector lies between
// two points of the rim, and so do its floats.
func (s *shadow) nearest() (least float64, err error) {
	a, err := s.near(s.heading())
	if err != nil {
		return 0, err
	}
	copy(s.top, s.aside)
	turn := math.Max(-math.Pi/2, math.Min(math.Pi/2, math.Atan2(a.slope, a.along)))
	b, err := s.near(a.angle + turn)
	if err != nil {
		return 0, err
	}
	s.other = append(s.other[:0], s.aside...)
	for step := 0; step < floatset.Halvings && !a.done() && !b.done() && math.Abs(b.angle-a.angle) > oneWay; step++ {
		edge, err := s.close(&a, &b, step%2 == 1)
		if err != nil {
			return 0, err
		}
		if edge {
			break
		}
	}
	if least = math.Max(a.along, b.along); !(least > 0) {
		return 0, s.centre()
	}
	// The point of the chord nearest the origin.
	dx, dy := b.x-a.x, b.y-a.y
	share := 0.0
	if d := dx*dx + dy*dy; d > 0 {
		share = math.Max(0, math.Min(1, -(a.x*dx+a.y*dy)/d))
	}
	for l, v := range s.other {
		u := &s.top[l]
		u.X, u.Y, u.G = u.X+share*(v.X-u.X), u.Y+share*(v.Y-u.Y), u.G+share*(v.G-u.G)
	}
	s.upAngle = math.Atan2(a.x+share*dx, a.y+share*dy)
	return least, nil
}

// level is the share of a vector's length by which it may lie beside its direction and still be the
// shortest: its length is as good as the square of that.
const level = 1e-9

// close looks between two sides and takes what it finds for one of them; it reports true where
// nothing of the shadow is before the chord between them, an edge.
func (s *shadow) close(a, b *side, square bool) (edge bool, err error) {
	lo, hi := math.Min(a.angle, b.angle), math.Max(a.angle, b.angle)
	at := a.angle + (b.angle-a.angle)*a.slope/(a.slope-b.slope)
	if square {
		at = lo + (hi-lo)/2
		at += math.Remainder(math.Atan2(b.y-a.y, a.x-b.x)-at, math.Pi)
	}
	if !(at > lo && at < hi) {
		at, square = lo+(hi-lo)/2, false
	}
	c, err := s.near(at)
	if err != nil {
		return false, err
	}
	if square {
		sin, cos := math.Sincos(at)
		if chord := sin*a.x + cos*a.y; c.along >= chord-onTop*(math.Abs(chord)+a.r) {
			a.along = chord
			return true, nil
		}
	}
	if c.slope*a.slope > 0 {
		*a = c
		copy(s.top, s.aside)
	} else {
		*b = c
		copy(s.other, s.aside)
	}
	return false, nil
}

// side is the point of the rim that lies least along a direction, at its clock angle, how far it
// does, and how fast that grows as the direction turns.
type side struct{ angle, along, slope, x, y, r float64 }

// done reports whether the point is the shortest of all.
func (p *side) done() bool { return p.along > 0 && math.Abs(p.slope) <= level*p.r }

// near finds the point that lies least along the direction at a clock angle.
func (s *shadow) near(angle float64) (side, error) {
	p, err := s.look(angle + math.Pi)
	sin, cos := math.Sincos(angle)
	return side{angle: angle, along: sin*p.x + cos*p.y, slope: cos*p.x - sin*p.y, x: p.x, y: p.y, r: p.r}, err
}

// centre finds floats, in top, at which the vector is nothing, the shadow holding the origin: between
// where the floats were followed from, and a chord of the rim that the line from there through the
// origin crosses beyond it, or short of it by rounding.
func (s *shadow) centre() error {
	s.upAngle = 0
	size := dense.Length(s.x, s.y)
	for l, j := range s.o.loose {
		s.top[l] = s.o.from[j.joint]
	}
	if size == 0 {
		return nil
	}
	ux, uy := -s.x/size, -s.y/size // from there to the origin
	beyond := math.Atan2(ux, uy)
	a, err := s.look(beyond)
	if err != nil {
		return err
	}
	s.other = append(s.other[:0], s.aside...)
	beside := func(p *rim) float64 { return p.x*uy - p.y*ux } // of the line, clockwise
	turn := math.Pi / 2
	if beside(&a) > 0 {
		turn = -turn
	}
	b, err := s.look(beyond + turn)
	if err != nil {
		return err
	}
	s.third = append(s.third[:0], s.aside...)
	near, share := 1.0, 0.0
	for range floatset.Halvings {
		wa, wb := beside(&a), beside(&b)
		if share = 0; wa != wb {
			share = math.Max(0, math.Min(1, wa/(wa-wb))) // of b, where the chord crosses the line
		}
		x, y := a.x+share*(b.x-a.x), a.y+share*(b.y-a.y)
		past := x*ux + y*uy
		near = math.Max(0, past/(past+size))
		if past >= 0 || wa*wb >= 0 {
			break
		}
		// Square to the chord, on the side of the origin.
		nx, ny := b.y-a.y, a.x-b.x
		if nx*ux+ny*uy < 0 {
			nx, ny = -nx, -ny
		}
		c, err := s.look(math.Atan2(nx, ny))
		if err != nil {
			return err
		}
		if beside(&c)*wa > 0 {
			a = c
			copy(s.other, s.aside)
		} else {
			b = c
			copy(s.third, s.aside)
		}
	}
	s.blend(near, share)
	return nil
}

// blend puts floats between where they were followed from, of which near is the share, and a chord's
// crossing, share of the way from the other floats to the third.
func (s *shadow) blend(near, share float64) {
	for l := range s.top {
		f, p, q := &s.top[l], s.other[l], s.third[l]
		f.X = near*f.X + (1-near)*(p.X+share*(q.X-p.X))
		f.Y = near*f.Y + (1-near)*(p.Y+share*(q.Y-p.Y))
		f.G = near*f.G + (1-near)*(p.G+share*(q.G-p.G))
	}
}
