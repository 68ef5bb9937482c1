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
	open    [maxArcs]arc

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
	n, err := s.quarters(p)
	if err != nil {
		return 0, err
	}
	for looks := 0; n > 0; looks++ {
		n--
		c := s.open[n]
		reach, at := c.reach()
		limit := math.Max(s.far.r*(1+share), enough)
		if !(reach > limit) || looks >= maxLooks || n+3 > maxArcs {
			bound = math.Max(bound, reach)
			continue
		}
		mid, err := s.look(c.a.angle + c.split(at, reach, s.far.r, share))
		if err != nil {
			return 0, err
		}
		if s.note(&mid) {
			top, err := s.climb(mid)
			if err != nil {
				return 0, err
			}
			if lo, hi := math.Min(mid.angle, top.angle), math.Max(mid.angle, top.angle); lo > c.a.angle && hi < c.b.angle && hi > lo {
				one, two := mid, top
				if top.angle < mid.angle {
					one, two = top, mid
				}
				s.open[n], s.open[n+1], s.open[n+2] = arc{c.a, one}, arc{one, two}, arc{two, c.b}
				n += 3
				continue
			}
		}
		s.open[n], s.open[n+1] = arc{c.a, mid}, arc{mid, c.b}
		n += 2
	}
	return math.Max(bound, s.far.r), nil
}

// heading is the clock angle of where the vector is followed from; 0 at the origin.
func (s *shadow) heading() float64 {
	if s.x == 0 && s.y == 0 {
		return 0
	}
	return math.Atan2(s.x, s.y)
}

// quarters opens four arcs round the rim, from p on, and counts them.
func (s *shadow) quarters(p rim) (n int, err error) {
	ring := [5]rim{p}
	for i := 1; i < 4; i++ {
		if ring[i], err = s.look(p.angle + float64(i)*math.Pi/2); err != nil {
			return 0, err
		}
		s.note(&ring[i])
	}
	ring[4] = p
	ring[4].angle += 2 * math.Pi
	for i := range 4 {
		s.open[i] = arc{ring[i], ring[i+1]}
	}
	return 4, nil
}

// reach is how far the rim between two directions can be at most, and how far from the first, as an
// angle, that would be.
func (c *arc) reach() (r, at float64) {
	sin, cos := math.Sincos(c.b.angle - c.a.angle)
	along := (c.b.h - c.a.h*cos) / sin
	if along <= 0 || c.a.h <= c.b.h*cos {
		return math.Max(c.a.h, c.b.h), (c.b.angle - c.a.angle) / 2
	}
	return dense.Length(c.a.h, along), math.Atan2(along, c.a.h)
}

// split is where to look into an arc, as an angle from its first direction: beside a top, as near
// as the share asks for; otherwise where it might reach farthest.
func (c *arc) split(at, reach, far, share float64) float64 {
	width := c.b.angle - c.a.angle
	near := width * math.Max(0.125, math.Min(0.5, math.Sqrt(0.4*share*far/(reach-far))))
	switch {
	case c.a.r >= far*(1-onTop):
		return near
	case c.b.r >= far*(1-onTop):
		return width - near
	}
	return math.Max(0.2*width, math.Min(0.8*width, at))
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

// shortest finds the least length of the vector, to rounding, and floats at which it is attained
// (in top): a bound from below beside it. Zero is no length that it finds floats for; it then
// reports false.
//
// The least of the vector along a direction is never more than its least length, and as great as
// that along the shortest vector itself. It is concave in the direction where it is more than
// nothing; its slope says which way to turn: regula falsi on that, the weight of an end that stays
// halved (Illinois). Where the slope jumps, the shortest vector lies between two points of the rim,
// and so do its floats.
func (s *shadow) shortest() (least float64, ok bool, err error) {
	a, err := s.near(s.heading())
	if err != nil {
		return 0, false, err
	}
	copy(s.top, s.aside)
	b := a
	turned := 0.0
	for looks := 0; b.slope*a.slope > 0; looks++ { // a bracket
		turn := math.Max(-1, math.Min(1, b.lean()))
		if turned += math.Abs(turn); turned > math.Pi || looks == maxLooks || b.along < 0 && turned > math.Pi/2 {
			return 0, false, nil
		}
		if math.Abs(b.slope) <= level*b.r && b.along > 0 {
			copy(s.top, s.aside)
			s.upAngle = b.angle
			return b.along, true, nil
		}
		a = b
		copy(s.top, s.aside)
		if b, err = s.near(a.angle + turn); err != nil {
			return 0, false, err
		}
	}
	s.other = append(s.other[:0], s.aside...)
	return s.shortestBetween(a, b)
}

// level is the share of a vector's length by which it may lie beside its direction and still be the
// shortest: its length is as good as the square of that.
const level = 1e-9

// shortestBetween finds it between two directions whose slopes differ in sign, with their floats in
// top and other.
func (s *shadow) shortestBetween(a, b side) (least float64, ok bool, err error) {
	wa, wb, kept := a.slope, b.slope, 0
	for step := range floatset.Halvings {
		if a.past(&b) {
			return 0, false, nil
		}
		if math.Abs(a.slope) <= level*a.r || math.Abs(b.slope) <= level*b.r || math.Abs(b.angle-a.angle) <= oneWay {
			break
		}
		at := a.angle + (b.angle-a.angle)*wa/(wa-wb)
		if !(at > math.Min(a.angle, b.angle) && at < math.Max(a.angle, b.angle)) {
			at = (a.angle + b.angle) / 2
		}
		edge := step%2 == 1
		if edge {
			at, edge = a.square(&b)
		}
		c, err := s.near(at)
		if err != nil {
			return 0, false, err
		}
		if edge { // nothing of the shadow is before the chord: it is an edge
			sin, cos := math.Sincos(at)
			if chord := sin*a.x + cos*a.y; c.along >= chord-onTop*(math.Abs(chord)+a.r) {
				a.along = chord
				break
			}
		}
		if c.slope*a.slope > 0 {
			a, wa = c, c.slope
			copy(s.top, s.aside)
			if kept == 1 {
				wb /= 2
			}
			kept = 1
		} else {
			b, wb = c, c.slope
			copy(s.other, s.aside)
			if kept == -1 {
				wa /= 2
			}
			kept = -1
		}
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
	least, s.upAngle = math.Max(a.along, b.along), math.Atan2(a.x+share*dx, a.y+share*dy)
	return least, least > 0, nil
}

// side is the point of the rim that lies least along a direction, at its clock angle, how far it
// does, and how fast that grows as the direction turns.
type side struct{ angle, along, slope, x, y, r float64 }

// square is the clock angle square to the chord between two points, and whether it lies between
// their directions.
func (p *side) square(q *side) (float64, bool) {
	lo, hi := math.Min(p.angle, q.angle), math.Max(p.angle, q.angle)
	mid := (lo + hi) / 2
	sin, cos := math.Sincos(mid)
	dx, dy := q.x-p.x, q.y-p.y
	along, across := sin*dx+cos*dy, cos*dx-sin*dy // of the chord
	if across == 0 {
		return mid, false
	}
	off := math.Atan(-along / across)
	at := mid + off
	if !(at > lo && at < hi) {
		return mid, false
	}
	return at, true
}

// past reports whether no direction between two has the whole shadow before it: none leaves both
// their points there.
func (p *side) past(q *side) bool {
	sin, cos := math.Sincos((p.angle + q.angle) / 2)
	nx, ny := q.y-p.y, p.x-q.x
	if sin*nx+cos*ny < 0 {
		nx, ny = -nx, -ny
	}
	return p.along <= 0 && q.along <= 0 && nx*p.x+ny*p.y <= 0
}

// lean is the angle from the direction to where the point lies.
func (p *side) lean() float64 { return math.Atan2(p.slope, p.along) }

// near finds the point that lies least along the direction at a clock angle.
func (s *shadow) near(angle float64) (side, error) {
	p, err := s.look(angle + math.Pi)
	sin, cos := math.Sincos(angle)
	return side{angle: angle, along: sin*p.x + cos*p.y, slope: cos*p.x - sin*p.y, x: p.x, y: p.y, r: p.r}, err
}

// nearest finds the least length of the vector and floats at which it is attained, in top; it
// reports false where it finds none.
func (s *shadow) nearest() (least float64, ok bool, err error) {
	least, ok, err = s.shortest()
	if err != nil || ok {
		return least, ok, err
	}
	ok, err = s.centre()
	return 0, ok, err
}

// centre finds floats, in top, at which the vector is nothing, where the shadow holds the origin:
// between where the floats were followed from, and a chord of the rim that the line from there
// through the origin crosses beyond it. It reports false where it finds none.
func (s *shadow) centre() (bool, error) {
	size := dense.Length(s.x, s.y)
	for l, j := range s.o.loose {
		s.top[l] = s.o.from[j.joint]
	}
	if size == 0 {
		return true, nil
	}
	ux, uy := -s.x/size, -s.y/size // from there to the origin
	beyond := math.Atan2(ux, uy)
	a, err := s.look(beyond)
	if err != nil {
		return false, err
	}
	s.other = append(s.other[:0], s.aside...)
	beside := func(p *rim) float64 { return p.x*uy - p.y*ux } // of the line, clockwise
	turn := math.Pi / 2
	if beside(&a) > 0 {
		turn = -turn
	}
	b, err := s.look(beyond + turn)
	if err != nil {
		return false, err
	}
	s.third = append(s.third[:0], s.aside...)
	for range floatset.Halvings {
		wa, wb := beside(&a), beside(&b)
		if wa == wb || wa*wb > 0 {
			return false, nil
		}
		share := wa / (wa - wb) // of b, where the chord crosses the line
		x, y := a.x+share*(b.x-a.x), a.y+share*(b.y-a.y)
		if past := x*ux + y*uy; past >= 0 {
			s.blend(past/(past+size), share)
			return true, nil
		}
		// Square to the chord, on the side of the origin.
		nx, ny := b.y-a.y, a.x-b.x
		if nx*ux+ny*uy < 0 {
			nx, ny = -nx, -ny
		}
		c, err := s.look(math.Atan2(nx, ny))
		if err != nil {
			return false, err
		}
		if beside(&c)*wa > 0 {
			a = c
			copy(s.other, s.aside)
		} else {
			b = c
			copy(s.third, s.aside)
		}
	}
	return false, nil
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
