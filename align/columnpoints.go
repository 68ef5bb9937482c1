package align

import (
	"reflect"
	"slices"

	"example.com/borestack/align/internal/seat"
	"example.com/borestack/tolerance"
)

// pointColumns seat a joint on measured heights, sample by sample: what moves is put into faces and
// a joint of its own, and the kernel's seat works them out.
type pointColumns struct {
	joint  Joint
	gasket Gasket // the joint's, if it has one
	a, b   mountedFace
	moves  []movedNumber
	seat   seating
	gap    [chunk]float64 // the widest
}

// movedNumber is a number and its column.
type movedNumber struct {
	at   *float64
	from *column
}

// newPointColumns lays out the point seat of joint i.
func newPointColumns(b *columnsBuilder, k *kernel, i int) *pointColumns {
	q := &pointColumns{joint: k.stack.Joints[i], a: *k.parts[i].rear, b: *k.parts[i+1].front}
	if g := q.joint.Gasket; g != nil {
		q.gasket = *g
		q.joint.Gasket = &q.gasket
	}
	q.seat.pilot = k.flush[i].pilot
	for own, of := range map[*mountedFace]*mountedFace{&q.a: k.parts[i].rear, &q.b: k.parts[i+1].front} {
		own.points = slices.Clone(of.points)
		q.move(b, &own.p.Z, &of.p.Z)
		q.move(b, &own.p.SX, &of.p.SX)
		q.move(b, &own.p.SY, &of.p.SY)
		q.move(b, &own.cx, &of.cx)
		q.move(b, &own.cy, &of.cy)
		for n := range own.points {
			q.move(b, &own.points[n].X, &of.points[n].X)
			q.move(b, &own.points[n].Y, &of.points[n].Y)
			q.move(b, &own.points[n].Z, &of.points[n].Z)
		}
	}
	return q
}

// move notes that a number is moved as another is, if any source moves that.
func (q *pointColumns) move(b *columnsBuilder, own, of *float64) {
	if len(b.moved[reflect.ValueOf(of).Pointer()]) > 0 {
		q.moves = append(q.moves, movedNumber{own, columnOf(b, of)})
	}
}

// seatOnPoints works out B's plane in every sample; those that have no seat are marked hard.
func (j *jointColumns) seatOnPoints(n int, hard *[chunk]bool) {
	q := j.points
	for i := range n {
		for _, m := range q.moves {
			*m.at = m.from.now[i]
		}
		p := q.a.p
		if g := j.gasket; g != nil {
			z, sx, sy := g[0].now[i], g[1].now[i], g[2].now[i]
			q.gasket.Thickness, q.gasket.Slope = tolerance.Length(z), Slope{sx, sy}
			p.Z, p.SX, p.SY = p.Z+z, p.SX+sx, p.SY+sy
		}
		q.seat.gap = 0
		_, b, err := q.seat.seatOnPoints(&q.joint, &q.a, &q.b, p, q.b.p)
		if err != nil {
			hard[i], b = true, seat.Plane{}
		}
		q.gap[i] = q.seat.gap
		j.bz.own[i], j.bsx.own[i], j.bsy.own[i] = b.Z, b.SX, b.SY
	}
}
