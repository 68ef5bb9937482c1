package floatset

import (
	"math"

	"example.com/borestack/align/internal/dense"
)

// shiftSets groups the open constraints into sets of full constraints with the same arm and slabs
// of flatted pins; none for anything else.
func (s *Set) shiftSets() {
	s.sets = s.sets[:0]
	if s.Dim != 3 || len(s.Open) != len(s.Constraints) || len(s.Open) < 2 {
		return
	}
next:
	for _, i := range s.Open {
		f := &s.Constraints[i]
		if f.Slab {
			s.sets = append(s.sets, shiftSet{px: f.PX, py: f.PY, qx: f.QX, qy: f.QY, room: f.Radius, slab: true, nx: f.NX, ny: f.NY})
			continue
		}
		for k := range s.sets {
			d := &s.sets[k]
			if d.qx == f.QX && d.qy == f.QY && !d.slab {
				if d.lens || d.room != f.Radius {
					s.sets = s.sets[:0]
					return
				}
				d.lens, d.lx, d.ly = true, f.PX-d.px, f.PY-d.py
				continue next
			}
		}
		s.sets = append(s.sets, shiftSet{px: f.PX, py: f.PY, qx: f.QX, qy: f.QY, room: f.Radius})
	}
}

// beyond is how far v is outside the set.
func (d *shiftSet) beyond(v Vec) float64 {
	x, y := d.px+v.X+v.G*d.qx, d.py+v.Y+v.G*d.qy
	if d.slab {
		return math.Abs(d.nx*x+d.ny*y) - d.room
	}
	out := dense.Length(x, y)
	if d.lens {
		out = math.Max(out, dense.Length(x+d.lx, y+d.ly))
	}
	return out - d.room
}

// farthestOfSets is the point of F farthest along a in (fx, fy, γ) where few sets of full
// constraints bound it. The farthest point within two of them that is within the others too is it;
// from pair to pair it comes nearer, one that it violates taken in for one that stays kept. It
// reports false where three are needed at once.
//
// Source: linear-type programs, Sharir and Welzl, A combinatorial bound for linear programming and
// related problems, STACS 1992 (exchange of a basis).
func (s *Set) farthestOfSets(a Vec) (Vec, bool) {
	if !s.looked {
		s.shiftSets()
		s.looked = true
	}
	n := len(s.sets)
	if n < 2 {
		return Vec{}, false
	}
	i, j := 0, 1
	v, ok := s.farthestOfTwo(i, j, a)
	for range 4 * n {
		if !ok {
			return v, false
		}
		worst, out := -1, outside
		for k := range s.sets {
			if d := s.sets[k].beyond(v); k != i && k != j && d > out {
				worst, out = k, d
			}
		}
		if worst < 0 {
			return v, true
		}
		ok = false
		for _, keep := range [2]int{i, j} {
			drop := i + j - keep
			w, fine := s.farthestOfTwo(keep, worst, a)
			if fine && s.sets[drop].beyond(w) <= outside {
				v, i, j, ok = w, keep, worst, true
				break
			}
		}
	}
	return v, false
}

// outside is by how much, in mm, a point may pass a constraint by rounding.
const outside = 1e-12

// Of the search for the one unknown.
const (
	widen    = 64    // times the bracket may grow fourfold
	Halvings = 80    // of the bracket, by bisection or better
	noArm    = 1e-9  // share of the characteristic length below which two sets have one arm
	oneDigit = 1e-16 // share of the directions' size below which a bracket has no middle
	settled  = 1e-13 // mm: how well the two sets' points must fit each other
)

// farthestOfTwo is the point farthest along (ax, ay, b) in (fx, fy, γ) within two of the sets.
//
// Derivation: with d_i = p_i + f + γq_i in set i, q = q₂ − q₁ and n square to it, γ = q·(d₂ − d₁ −
// p)/q² and n·(d₂ − d₁ − p) = 0, p = p₂ − p₁. The one multiplier μ of that equation makes each d_i
// the farthest point of its own set along a direction that is linear in μ; n·(d₂ − d₁) falls as μ
// grows.
func (s *Set) farthestOfTwo(first, second int, a Vec) (Vec, bool) {
	one, two := &s.sets[first], &s.sets[second]
	switch {
	case two.slab:
		return s.farthestBesideSlab(one, two, a)
	case one.slab:
		return s.farthestBesideSlab(two, one, a)
	}
	qx, qy := two.qx-one.qx, two.qy-one.qy
	arm := dense.Length(qx, qy)
	if !(arm > noArm*s.CharLength) {
		return Vec{}, false
	}
	qx, qy = qx/arm, qy/arm
	nx, ny := -qy, qx
	px, py := two.px-one.px, two.py-one.py
	beta := (a.G - a.X*one.qx - a.Y*one.qy) / arm
	t := twoSets{one: one, two: two, ax: a.X - beta*qx, ay: a.Y - beta*qy, bx: beta * qx, by: beta * qy, nx: nx, ny: ny, off: nx*px + ny*py, beta: beta}
	x1, y1, x2, y2, ok := t.meet()
	if !ok {
		if x1, y1, x2, y2, ok = t.search(math.Abs(a.X) + math.Abs(a.Y) + math.Abs(beta)); !ok {
			return Vec{}, false
		}
	}
	g := (qx*(x2-x1-px) + qy*(y2-y1-py)) / arm
	return Vec{x1 - one.px - g*one.qx, y1 - one.py - g*one.qy, g}, true
}

// farthestBesideSlab is the same within a set and a slab, which no line along its own walls leaves:
// its multiplier c makes up for what turns.
//
// Derivation: with d = p₁ + f + γq₁ in the set and t = n·(p₂ + f + γq₂) in the slab, γ n·(q₂ − q₁)
// = t − n·(d + p₂ − p₁), so that a·v = (a − c n)·d + c t and a constant, c = (a_γ − a·q₁) / n·(q₂ −
// q₁).
func (s *Set) farthestBesideSlab(one, slab *shiftSet, a Vec) (Vec, bool) {
	arm := slab.nx*(slab.qx-one.qx) + slab.ny*(slab.qy-one.qy)
	if one.slab || !(math.Abs(arm) > noArm*s.CharLength) {
		return Vec{}, false
	}
	c := (a.G - a.X*one.qx - a.Y*one.qy) / arm
	x, y := one.point(a.X-c*slab.nx, a.Y-c*slab.ny)
	var t float64
	switch {
	case c > 0:
		t = slab.room
	case c < 0:
		t = -slab.room
	}
	g := (t - slab.nx*(x+slab.px-one.px) - slab.ny*(y+slab.py-one.py)) / arm
	return Vec{x - one.px - g*one.qx, y - one.py - g*one.qy, g}, true
}

// twoSets are the farthest points of two sets, each along a direction linear in the multiplier μ:
// (ax, ay) + μn of the first, (bx, by) − μn of the second, b = βq.
type twoSets struct {
	one, two *shiftSet
	ax, ay   float64
	bx, by   float64
	nx, ny   float64
	off      float64 // n·p
	beta     float64
}

// at is n·(d₂ − d₁ − p) for a μ.
func (t *twoSets) at(mu float64) (m, x1, y1, x2, y2 float64) {
	x1, y1 = t.one.point(t.ax+mu*t.nx, t.ay+mu*t.ny)
	x2, y2 = t.two.point(t.bx-mu*t.nx, t.by-mu*t.ny)
	return t.nx*(x2-x1) + t.ny*(y2-y1) - t.off, x1, y1, x2, y2
}

// meetSteps is how many of Newton's steps are tried before the bracket: they double the digits
// each, or fail.
const meetSteps = 7

// meet solves for μ by Newton's method in the sine of the angle between q and the direction of one
// of the sets, which takes the bend out of that set's curve: of the second, and where that has no
// more to give, of the first. It reports false where it does not settle.
func (t *twoSets) meet() (x1, y1, x2, y2 float64, ok bool) {
	along := t.ax*t.nx + t.ay*t.ny // of the first direction, and across
	across := t.ay*t.nx - t.ax*t.ny
	x, y := t.one.point(t.ax, t.ay)
	s := -(t.nx*x + t.ny*y + t.off) / t.two.room
	if t.beta == 0 && math.Abs(s) < 1 && !t.two.lens { // nothing pulls the second: it goes where the first takes it
		shift := t.off + t.nx*x + t.ny*y
		return x, y, shift * t.nx, shift * t.ny, true
	}
	size, base := math.Abs(t.beta), 0.0
	if !(math.Abs(s) < 1) {
		s = -(t.off + math.Copysign(t.two.room, s)) / t.one.room
		if size, base = math.Abs(across), along; !(math.Abs(s) < 1) {
			return 0, 0, 0, 0, false
		}
	}
	if size == 0 {
		return 0, 0, 0, 0, false
	}
	for range meetSteps {
		root := math.Sqrt((1 - s) * (1 + s))
		mu := size*s/root - base
		var m float64
		m, x1, y1, x2, y2 = t.at(mu)
		if math.Abs(m) <= settled {
			return x1, y1, x2, y2, true
		}
		falls := t.one.bend(t.ax+mu*t.nx, t.ay+mu*t.ny, across) + t.two.bend(t.bx-mu*t.nx, t.by-mu*t.ny, t.beta)
		s += m * root * root * root / (size * falls) // μ grows by size/root³
		if !(math.Abs(s) < 1) {
			return 0, 0, 0, 0, false
		}
	}
	return 0, 0, 0, 0, false
}

// bend is how fast the farthest point moves along n as its direction (ux, uy) does, across being
// the part of the direction square to n: not at all in a lens's corner.
func (d *shiftSet) bend(ux, uy, across float64) float64 {
	u := ux*ux + uy*uy
	size := math.Sqrt(u)
	if d.lens && math.Abs(d.room*(ux*d.lx+uy*d.ly)) < size*(d.lx*d.lx+d.ly*d.ly)/2 {
		return 0
	}
	return d.room * across * across / (u * size)
}

// search solves for μ between brackets, scale being a size of μ.
func (t *twoSets) search(scale float64) (x1, y1, x2, y2 float64, ok bool) {
	lo, hi := -scale, scale
	mlo, lx1, ly1, lx2, ly2 := t.at(lo)
	mhi, hx1, hy1, hx2, hy2 := t.at(hi)
	for range widen {
		if mlo < 0 {
			lo *= 4
			mlo, lx1, ly1, lx2, ly2 = t.at(lo)
		}
		if mhi > 0 {
			hi *= 4
			mhi, hx1, hy1, hx2, hy2 = t.at(hi)
		}
		if mlo >= 0 && mhi <= 0 {
			break
		}
	}
	if !(mlo >= 0 && mhi <= 0) {
		return 0, 0, 0, 0, false
	}
	// Regula falsi with the weight of an end that stays halved (Illinois); halving the bracket now
	// and then, where the curve bends too much for it.
	wlo, whi, width, kept := mlo, mhi, hi-lo, 0
	for i := range Halvings {
		if mlo <= settled || -mhi <= settled || hi-lo <= oneDigit*scale {
			break
		}
		mid := lo + (hi-lo)*wlo/(wlo-whi)
		if i%4 == 3 {
			if hi-lo > width/4 {
				mid = lo + (hi-lo)/2
			}
			width = hi - lo
		}
		if !(mid > lo && mid < hi) {
			mid = lo + (hi-lo)/2
		}
		m, x1, y1, x2, y2 := t.at(mid)
		if m >= 0 {
			lo, mlo, lx1, ly1, lx2, ly2 = mid, m, x1, y1, x2, y2
			wlo = m
			if kept == 1 {
				whi /= 2
			}
			kept = 1
		} else {
			hi, mhi, hx1, hy1, hx2, hy2 = mid, m, x1, y1, x2, y2
			whi = m
			if kept == -1 {
				wlo /= 2
			}
			kept = -1
		}
	}
	if -mhi <= settled { // that end fits
		mlo, lx1, ly1, lx2, ly2 = mhi, hx1, hy1, hx2, hy2
	}
	// Both ends are farthest for nearly the same μ; between them the equation holds.
	share := 0.0
	if mlo > settled {
		share = mlo / (mlo - mhi)
	}
	return lx1 + share*(hx1-lx1), ly1 + share*(hy1-ly1), lx2 + share*(hx2-lx2), ly2 + share*(hy2-ly2), true
}

// Most is a bound of a·v over F without a search: infinite where nothing simple bounds it. Any
// multiplier μ of the equation above gives one (weak duality).
func (s *Set) Most(a Vec) float64 {
	if a == (Vec{}) {
		return 0
	}
	if !s.looked {
		s.shiftSets()
		s.looked = true
	}
	if len(s.sets) < 2 {
		if s.Turns || s.Fixed || len(s.Open) == 0 || len(s.Open) != len(s.Constraints) || s.Constraints[0].Slab {
			return math.Inf(1)
		}
		f := &s.Constraints[0]
		return f.Radius*dense.Length(a.X, a.Y) - f.PX*a.X - f.PY*a.Y + s.Target.G*a.G
	}
	one, two := &s.sets[0], &s.sets[1]
	if one.slab || two.slab {
		return math.Inf(1)
	}
	qx, qy := two.qx-one.qx, two.qy-one.qy
	arm := dense.Length(qx, qy)
	if !(arm > noArm*s.CharLength) {
		return math.Inf(1)
	}
	qx, qy = qx/arm, qy/arm
	px, py := two.px-one.px, two.py-one.py
	beta := (a.G - a.X*one.qx - a.Y*one.qy) / arm
	along := a.Y*qx - a.X*qy // a·n
	across := a.X*qx + a.Y*qy - beta
	off := py*qx - px*qy
	base := -a.X*one.px - a.Y*one.py - beta*(qx*px+qy*py)
	return base + math.Min(one.room*dense.Length(along, across)+two.room*math.Abs(beta), -along*off+one.room*math.Abs(across)+two.room*dense.Length(beta, along))
}
