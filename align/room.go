package align

import (
	"math"
)

// roomAims is how many directions are tried for the room of a support where no closed form gives it, and roomFar the share of the clearances beyond which it counts as unbounded.
const (
	roomAims = 12
	roomFar  = 1e4

	manyCircles = 24 // on one line: the room is then less finely searched
)

// room is the least distance, over directions, that support i's bore alone may move before the use of its shafts reaches 1. It is absent (false) when any shaft lacks room already, or when the bore may move for ever.
//
// The moves that leave room are a convex set; the distance to its rim is the least of its reach over directions. From the best few directions, turning to the normal of the rim where it was met can only shorten the reach.
func (k *kernel) room(i int, use float64) (float64, bool, error) {
	if !(use < 1) {
		return 0, false, nil
	}
	var group []int
	for _, g := range k.lay.groups {
		for _, s := range g {
			if s == k.lay.supports[i].shaft {
				group = g
			}
		}
	}
	if _, err := k.solveGroup(group, byUse); err != nil {
		return 0, false, err
	}
	l := &k.line
	if l.closed {
		if k.nullity(group) == 0 {
			return 0, false, nil
		}
		return k.closedRoom(i)
	}
	least := math.Inf(1)
	var bx, by float64
	aims, turns := roomAims, climbs
	if len(l.members) > manyCircles {
		aims, turns = 4, 4
	}
	for a := range aims {
		s, c := math.Sincos(2 * math.Pi * float64(a) / float64(aims))
		t, _, _, err := k.reach(group, i, s, c)
		if err != nil {
			return 0, false, err
		}
		if math.IsInf(t, 1) {
			return 0, false, nil // unbounded one way is unbounded every way
		}
		if t < least {
			least, bx, by = t, s, c
		}
	}
	for range turns {
		t, nx, ny, err := k.reach(group, i, bx, by)
		if err != nil {
			return 0, false, err
		}
		n := math.Hypot(nx, ny)
		done := t >= least*(1-1e-10)
		least = math.Min(least, t)
		if n == 0 || (done && math.Abs(nx*by-ny*bx) <= 1e-6*n) {
			break
		}
		bx, by = nx/n, ny/n
	}
	return least, true, nil
}

// closedRoom is (Σ |w| r - |Σ w p|) / |w_i|, with w_i the sum over the bore's circles.
func (k *kernel) closedRoom(i int) (float64, bool, error) {
	l := &k.line
	var x, y, rooms, own, all float64
	for c, n := range l.members {
		w := l.weights[c]
		x += w * l.px[c]
		y += w * l.py[c]
		rooms += math.Abs(w) * k.circles[n].room
		all += math.Abs(w)
		if k.circles[n].support == i {
			own += w
		}
	}
	if math.Abs(own) <= 1e-9*all {
		return 0, false, nil
	}
	return math.Max(0, rooms-math.Hypot(x, y)) / math.Abs(own), true, nil
}

// reach is how far support i's bore may move along (ux, uy) with room left, and the normal of the rim there.
func (k *kernel) reach(group []int, i int, ux, uy float64) (t, nx, ny float64, err error) {
	k.gather(group)
	l := &k.line
	f := k.frame(group)
	p := &l.problem
	n := f.n + 1
	p.Reset(n)
	p.Cost()[n-1] = -1
	far := p.Cone(1)
	far.Row(0)[n] = roomFar
	far.Row(1)[n-1] = 1
	var cones []int // member of each cone after the first
	for c, m := range l.members {
		q := &k.circles[m]
		moves := q.support == i
		if q.room == 0 {
			for component, u := range [2]float64{ux, uy} {
				r := p.Equal()
				k.lineRow(r, &f, c, component)
				r[n] = -r[n]
				if moves {
					r[n-1] = u
				}
			}
			continue
		}
		cone := p.Cone(2)
		cone.Row(0)[n] = q.room / f.unit
		for component, u := range [2]float64{ux, uy} {
			r := cone.Row(component + 1)
			k.lineRow(r, &f, c, component)
			if moves {
				r[n-1] = u
			}
		}
		cones = append(cones, c)
	}
	res, err := l.solver.Solve(p, meetTol/f.unit)
	if err != nil {
		return 0, 0, 0, err
	}
	t = f.unit * res.X[n-1]
	if res.X[n-1] > roomFar/2 {
		return math.Inf(1), 0, 0, nil
	}
	for at, c := range cones {
		if k.circles[l.members[c]].support == i {
			d := l.solver.Dual(at + 1)
			nx -= d[1]
			ny -= d[2]
		}
	}
	return t, nx, ny, nil
}
