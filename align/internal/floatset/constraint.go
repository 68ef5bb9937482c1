package floatset

import (
	"math"

	"example.com/borestack/align/internal/dense"
)

// Vec is a displacement: fx, fy in mm, and the turn γ in radians.
type Vec struct{ X, Y, G float64 }

// Constraint is one limit on the float: |p + f + γ q| ≤ room, or |n·(p + f + γ q)| ≤ room for a
// flatted pin or slot.
type Constraint struct {
	PX, PY, QX, QY float64
	Radius         float64
	Slab           bool
	NX, NY         float64
	Mark           int // the caller's mark; OfShift: it bounds the shift alone
}

// OfShift marks a constraint of the shift alone: it is not asked for a turn, and gives way where
// the shift is held.
const OfShift = -1

// from is where v takes the constraint's point, from its middle; of a slab, along its normal alone.
func (f *Constraint) from(v Vec) (x, y float64) { return f.felt(f.PX+v.X+v.G*f.QX, f.PY+v.Y+v.G*f.QY) }

// felt is what the constraint feels of a vector: of a slab, what is along its normal.
func (f *Constraint) felt(x, y float64) (float64, float64) {
	if f.Slab {
		return f.NX*x + f.NY*y, 0
	}
	return x, y
}

// at is how far v is from the middle of the constraint.
func (f *Constraint) at(v Vec) float64 { return dense.Length(f.from(v)) }

// beyond is how far v is outside the constraint.
func (f *Constraint) beyond(v Vec) float64 { return f.at(v) - f.Radius }

// holds reports whether v keeps within the constraint, with so much more room.
func (f *Constraint) holds(v Vec, more float64) bool {
	x, y := f.from(v)
	room := f.Radius + more
	return room >= 0 && x*x+y*y <= room*room
}

// Turning is what a constraint adds to Σ|q|² and Σ q·r, of which the turn of least Σ|r|² is made:
// γ = −Σ q·r / Σ|q|², r being how far (x, y) without a turn is from the constraint's middle.
func (f *Constraint) Turning(x, y float64) (qq, qr float64) {
	x, y = f.felt(f.PX+x, f.PY+y)
	qx, qy := f.felt(f.QX, f.QY)
	return qx*qx + qy*qy, qx*x + qy*y
}

// ways lists the directions in (fx, fy, L·γ) that the constraint holds, and where (PX, PY) lies
// along each.
func (f *Constraint) ways(long float64, add func(r [3]float64, p float64)) {
	qx, qy := f.QX/long, f.QY/long
	if f.Slab {
		add([3]float64{f.NX, f.NY, f.NX*qx + f.NY*qy}, f.NX*f.PX+f.NY*f.PY)
		return
	}
	add([3]float64{1, 0, qx}, f.PX)
	add([3]float64{0, 1, qy}, f.PY)
}

// chord is the range of t in which |(x, y) + t (ax, ay)| ≤ room; the point nearest the middle where
// there is none, and every t where nothing moves.
//
// The roots of a t² + 2 b t + c, each by the form in which nothing cancels, so that a start on the
// rim is one of them.
func chord(x, y, ax, ay, room float64) (lo, hi float64) {
	a := ax*ax + ay*ay
	if a == 0 {
		return math.Inf(-1), math.Inf(1)
	}
	b, d := x*ax+y*ay, dense.Length(x, y)
	c := (d - room) * (d + room)
	if c > 0 && d-room <= FoulTol {
		c = 0
	}
	under := b*b - a*c
	if !(under > 0) {
		return -b / a, -b / a
	}
	q := math.Sqrt(under) + math.Abs(b)
	near, far := -c/q, -q/a // of a start that moves outward
	if b < 0 {
		near, far = -near, -far
	}
	return math.Min(near, far), math.Max(near, far)
}

// TurnsAt is the range of further turn from v that constraints leave, with so much more room.
func TurnsAt(c []Constraint, v Vec, more float64) (lo, hi float64) {
	lo, hi = math.Inf(-1), math.Inf(1)
	for i := range c {
		x, y := c[i].from(v)
		ax, ay := c[i].felt(c[i].QX, c[i].QY)
		l, h := chord(x, y, ax, ay, c[i].Radius+more)
		lo, hi = math.Max(lo, l), math.Min(hi, h)
	}
	return lo, hi
}

// Roomy reports whether every constraint, but for one that need not be looked at, or -1, leaves at
// least so much room at v.
func Roomy(c []Constraint, v Vec, room float64, but int) bool {
	for i := range c {
		if f := &c[i]; i != but && !f.holds(v, -room) {
			return false
		}
	}
	return true
}
