package floatset

import "math"

// Where three sets hold the farthest point at once it is a corner of them, which Newton's method
// finds, and its multipliers prove.

// Of the steps to a corner.
const (
	cornerSteps = 12
	cornerMeets = 1e-13 // mm: how well the three must meet there
	cornerFlat  = 1e-9  // volume of three unit normals below which they have no corner
)

// corner is a point of three sets' rims and their unit normals there in (fx, fy, L·γ).
type corner struct {
	at     Vec
	normal [3][3]float64
}

// rim is how far v is outside a set, and the rim's unit normal there in (fx, fy, L·γ) but for its
// length along γ; of a lens, its farther disc.
func (s *Set) rim(d *shiftSet, v Vec) (out float64, normal [3]float64) {
	x, y := d.px+v.X+v.G*d.qx, d.py+v.Y+v.G*d.qy
	if d.lens {
		if u, w := x+d.lx, y+d.ly; u*u+w*w > x*x+y*y {
			x, y = u, w
		}
	}
	if d.slab {
		size := d.nx*x + d.ny*y
		side := math.Copysign(1, size)
		x, y = side*d.nx, side*d.ny
		return math.Abs(size) - d.room, [3]float64{x, y, (x*d.qx + y*d.qy) / s.CharLength}
	}
	size := math.Sqrt(x*x + y*y)
	if size == 0 {
		return -d.room, normal
	}
	x, y = x/size, y/size
	return size - d.room, [3]float64{x, y, (x*d.qx + y*d.qy) / s.CharLength}
}

// cornerOf finds the corner of three sets near v; false where it does not settle.
func (s *Set) cornerOf(sets *[3]int, v Vec) (c corner, ok bool) {
	for range cornerSteps {
		var out [3]float64
		var worst float64
		for i, k := range sets {
			out[i], c.normal[i] = s.rim(&s.sets[k], v)
			worst = math.Max(worst, math.Abs(out[i]))
		}
		if worst <= cornerMeets {
			c.at = v
			return c, true
		}
		n := &c.normal
		step, fine := solve3(n[0], n[1], n[2], out)
		if !fine {
			return c, false
		}
		v.X, v.Y, v.G = v.X-step[0], v.Y-step[1], v.G-step[2]/s.CharLength
	}
	return c, false
}

// holds reports whether a corner is where a·v is greatest of all that its three sets leave: a is a
// sum of their normals, none of them less than nothing.
//
// Source: the conditions of Karush, Kuhn and Tucker, sufficient for a convex set.
func (c *corner) holds(a [3]float64) bool {
	n := &c.normal
	var t [3][3]float64
	for i := range 3 {
		for k := range 3 {
			t[k][i] = n[i][k]
		}
	}
	share, ok := solve3(t[0], t[1], t[2], a)
	return ok && share[0] >= 0 && share[1] >= 0 && share[2] >= 0
}

// solve3 solves a·x = r[0], b·x = r[1], c·x = r[2]; false where they have no corner.
func solve3(a, b, c, r [3]float64) (x [3]float64, ok bool) {
	cross := func(u, v [3]float64) [3]float64 {
		return [3]float64{u[1]*v[2] - u[2]*v[1], u[2]*v[0] - u[0]*v[2], u[0]*v[1] - u[1]*v[0]}
	}
	bc, ca, ab := cross(b, c), cross(c, a), cross(a, b)
	volume := a[0]*bc[0] + a[1]*bc[1] + a[2]*bc[2]
	if !(math.Abs(volume) > cornerFlat) {
		return x, false
	}
	for i := range 3 {
		x[i] = (r[0]*bc[i] + r[1]*ca[i] + r[2]*ab[i]) / volume
	}
	return x, true
}

// farthestOfThree is the point farthest along a where three sets hold it, of which two alone let it
// go to v: the corner of the three, exchanged for others while a further set is passed. It reports
// false where it proves none.
func (s *Set) farthestOfThree(three [3]int, v, a Vec) (Vec, bool) {
	pull := [3]float64{a.X, a.Y, a.G / s.CharLength}
	c, ok := s.cornerOf(&three, v)
	if !ok || !c.holds(pull) {
		return v, false
	}
	for range 4 * len(s.sets) {
		at := s.passed(c.at, three[:])
		if at < 0 {
			return c.at, true
		}
		next, found := s.exchanged(three, at, c.at, pull)
		if !found {
			return v, false
		}
		three = next
		if c, ok = s.cornerOf(&three, c.at); !ok || !c.holds(pull) {
			return v, false
		}
	}
	return v, false
}

// exchanged takes a further set in for one of three.
func (s *Set) exchanged(three [3]int, further int, v Vec, pull [3]float64) ([3]int, bool) {
	for i := range three {
		next := three
		next[i] = further
		if c, ok := s.cornerOf(&next, v); ok && c.holds(pull) && s.sets[three[i]].beyond(c.at) <= outside {
			return next, true
		}
	}
	return three, false
}

// passed is the set that v passes most, of those that are not listed; -1: none.
func (s *Set) passed(v Vec, but []int) int {
	worst, out := -1, outside
next:
	for k := range s.sets {
		for _, b := range but {
			if b == k {
				continue next
			}
		}
		if d := s.sets[k].beyond(v); d > out {
			worst, out = k, d
		}
	}
	return worst
}
