package align

import (
	"reflect"

	"example.com/borestack/align/internal/seat"
	"example.com/borestack/tolerance"
)

// pointColumns seat a joint on measured heights, sample by sample: what moves is put into the
// kernel's own joint and mounted faces, which it works out anew before it uses them, and the
// kernel's seat works them out.
type pointColumns struct {
	joint *Joint
	a, b  *mountedFace
	seat  *seating
	moves []movedNumber
	gap   [chunk]float64 // the widest
}

// movedNumber is a number and its column.
type movedNumber struct {
	at   *float64
	from *column
}

// newPointColumns lays out the point seat of joint i.
func newPointColumns(b *columnsBuilder, k *kernel, i int) *pointColumns {
	q := &pointColumns{joint: &k.stack.Joints[i], a: k.parts[i].rear, b: k.parts[i+1].front, seat: &k.flush[i]}
	for _, f := range []*mountedFace{q.a, q.b} {
		list := []*float64{&f.p.Z, &f.p.SX, &f.p.SY, &f.cx, &f.cy}
		for n := range f.points {
			list = append(list, &f.points[n].X, &f.points[n].Y, &f.points[n].Z)
		}
		for _, at := range list {
			if len(b.moved[reflect.ValueOf(at).Pointer()]) > 0 {
				q.moves = append(q.moves, movedNumber{at, columnOf(b, at)})
			}
		}
	}
	return q
}

// seatOnPoints works out B's plane in every sample; those that have no seat are marked hard.
func (j *jointColumns) seatOnPoints(n int, hard *[chunk]bool) {
	q := j.points
	for i := range n {
		for _, m := range q.moves {
			*m.at = m.from.now[i]
		}
		if g := j.gasket; g != nil {
			*q.joint.Gasket = Gasket{tolerance.Length(g[0].now[i]), Slope{g[1].now[i], g[2].now[i]}}
		}
		q.seat.gap = 0
		_, b, err := q.seat.seatOnPoints(q.joint, q.a, q.b, q.joint.over(q.a.p), q.b.p)
		if err != nil {
			hard[i], b = true, seat.Plane{}
		}
		q.gap[i] = q.seat.gap
		j.bz.own[i], j.bsx.own[i], j.bsy.own[i] = b.Z, b.SX, b.SY
	}
}
