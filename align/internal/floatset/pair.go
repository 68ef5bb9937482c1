package floatset

import "math"

// Pair draws from what two whole constraints leave, which most joints have: a point of the tighter
// disc, then a turn in the window that the other leaves at most, kept if it is within both. Nobody
// foresees which is tighter, nor whether a point is kept, so that there is no jump on the way, and
// many draws can go side by side, round by round.
//
// Derivation: d at the tighter constraint and b = p + d at the other, p between the two, q from the
// tighter's arm to the other's. b + γq is nearest to the middle at γ = −b·q/q², |b × q|/|q| from
// it; t of the window's half room/|q| from there it is within if (b × q)² ≤ room² q² (1 − t²).
type Pair struct {
	source             Words
	px, py, qx, qy     float64
	room, limit        float64 // of the tighter, and room² q² of the other
	x, y, t            float64 // the point in the unit disc, and in the window
	dx, dy, armX, armY float64 // the tighter constraint
}

// Whole reports whether a draw from constraints is a pair's.
func Whole(c []Constraint) bool { return len(c) == 2 && !c[0].Slab && !c[1].Slab }

// Sight begins the draw of u; false where the two have one arm.
func (p *Pair) Sight(c []Constraint, source Words) bool {
	i := 0
	if c[1].Radius < c[0].Radius {
		i = 1
	}
	f, o := &c[i&1], &c[1-i&1]
	p.source = source
	p.px, p.py, p.qx, p.qy = o.PX-f.PX, o.PY-f.PY, o.QX-f.QX, o.QY-f.QY
	q := p.qx*p.qx + p.qy*p.qy
	p.room, p.limit = f.Radius, o.Radius*o.Radius*q
	p.dx, p.dy, p.armX, p.armY = f.PX, f.PY, f.QX, f.QY
	return q > 0
}

// Try tries a point, and returns 1 if it is kept, else 0; the next try takes other words.
func (p *Pair) Try() (kept int) {
	first, second := p.source, p.source
	z := first.next()
	second = first
	x, y := (float64(int32(z>>32))+0.5)*0x1p-31, (float64(int32(z))+0.5)*0x1p-31
	t := 2*second.fraction() - 1
	bx, by := p.px+p.room*x, p.py+p.room*y
	cross := bx*p.qy - by*p.qx
	var inDisc, inWindow int
	if x*x+y*y <= 1 {
		inDisc = 1
	}
	if cross*cross <= p.limit*(1-t*t) {
		inWindow = 1
	}
	p.x, p.y, p.t = x, y, t
	p.source = first + increment*Words(inDisc)
	return inDisc & inWindow
}

// At is the point that was kept.
func (p *Pair) At() Vec {
	x, y := p.room*p.x, p.room*p.y
	inv := 1 / (p.qx*p.qx + p.qy*p.qy)
	g := (math.Sqrt(p.limit)*p.t - (p.px+x)*p.qx - (p.py+y)*p.qy) * inv
	return Vec{x - p.dx - g*p.armX, y - p.dy - g*p.armY, g}
}
