package align

import (
	"math"
)

// roomAims is how many directions are tried for the room of a support where no closed form gives it, and roomFar the share of the clearances beyond which it counts as unbounded.
const (
	roomAims = 12
	roomFar  = 1e4
	roomSure = 1e-7 // rad: how well the rim's normal must meet the direction; the reach is then as good as the square of it

	roomMiss  = 2e-3 // share of the room that a second least near the first may hide in an arc
	roomTurns = 30   // from one such pair at most

	manyCircles = 24 // on one line: the room is then less finely searched
)

// room is the least distance, over directions, that support i's bore alone may move before the use of its shafts reaches 1. It is absent (false) when any shaft lacks room already, or when the bore may move for ever.
//
// The moves that leave room are a convex set; the distance to its rim is the least of its reach over directions. The reach falls towards the side on which the rim's normal lies, so that a least lies between two directions whose normals lean to each other.
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
	n, miss := roomAims, roomMiss
	if len(l.members) > manyCircles {
		n, miss = 4, 25*roomMiss
	}
	q := roomSearch{k: k, group: group, support: i, least: math.Inf(1), miss: miss}
	var aims [roomAims + 1]rimAt
	for a := range n {
		m, err := q.rim(2 * math.Pi * float64(a) / float64(n))
		if err != nil {
			return 0, false, err
		}
		if math.IsInf(m.reach, 1) {
			return 0, false, nil // unbounded one way is unbounded every way
		}
		aims[a] = m
	}
	aims[n] = aims[0]
	aims[n].angle += 2 * math.Pi
	for a := range n {
		if err := q.arc(aims[a], aims[a+1]); err != nil {
			return 0, false, err
		}
	}
	return q.least, true, nil
}

// roomSearch looks for the least reach of a support's bore.
type roomSearch struct {
	k       *kernel
	group   []int
	support int
	least   float64
	miss    float64 // share of it that an arc may hide
}

// rimAt is where the rim is met in a direction, an angle from +y towards +x, and how far its normal leans on from there.
type rimAt struct{ angle, reach, lean float64 }

func (q *roomSearch) rim(angle float64) (rimAt, error) {
	s, c := math.Sincos(angle)
	t, nx, ny, err := q.k.reach(q.group, q.support, s, c)
	q.least = math.Min(q.least, t)
	return rimAt{angle, t, math.Atan2(nx*c-ny*s, nx*s+ny*c)}, err
}

// arc looks between two directions. What leaves room is convex, so that the rim between is no nearer than its chord; where that could hide more than a little, in two halves.
func (q *roomSearch) arc(lo, hi rimAt) error {
	if hi.angle-lo.angle > roomSure && chordReach(lo, hi) < q.least*(1-q.miss) {
		mid, err := q.rim((lo.angle + hi.angle) / 2)
		if err != nil {
			return err
		}
		if err := q.arc(lo, mid); err != nil {
			return err
		}
		return q.arc(mid, hi)
	}
	if lo.lean > 0 && hi.lean < 0 {
		return q.between(lo, hi)
	}
	return nil
}

// chordReach is the distance of the chord between two rim points.
func chordReach(a, b rimAt) float64 {
	s, c := math.Sincos(b.angle - a.angle)
	long := math.Sqrt(a.reach*a.reach + b.reach*b.reach - 2*a.reach*b.reach*c)
	if a.reach*c >= b.reach || b.reach*c >= a.reach || long == 0 {
		return math.Min(a.reach, b.reach)
	}
	return a.reach * b.reach * s / long
}

// between goes to a least between two directions whose normals lean to each other: regula falsi on the lean, the weight of an end that stays halved (Illinois).
func (q *roomSearch) between(lo, hi rimAt) error {
	wlo, whi, kept := lo.lean, hi.lean, 0
	for range roomTurns {
		m, err := q.rim(lo.angle + (hi.angle-lo.angle)*wlo/(wlo-whi))
		if err != nil {
			return err
		}
		switch {
		case math.Abs(m.lean) <= roomSure || hi.angle-lo.angle <= roomSure:
			return nil
		case m.lean > 0:
			if lo, wlo = m, m.lean; kept == 1 {
				whi /= 2
			}
			kept = 1
		default:
			if hi, whi = m, m.lean; kept == -1 {
				wlo /= 2
			}
			kept = -1
		}
	}
	return nil
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
		return 0, 0, 0, unsolved("the room of a support", "/shafts", err)
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
