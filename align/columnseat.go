package align

import (
	"reflect"

	"example.com/borestack/align/internal/seat"
	"example.com/borestack/tolerance"
)

// seat works out the meeting planes and the seat, as [seating.seat] does.
func (j *jointColumns) seat(n int) {
	az, asx, asy := j.a.z.now, j.a.sx.now, j.a.sy.now
	bz, bsx, bsy := j.bz.now, j.bsx.now, j.bsy.now
	acx, acy, bcx, bcy := j.none.now, j.none.now, j.none.now, j.none.now
	if j.pilot {
		acx, acy, bcx, bcy = j.a.cx.now, j.a.cy.now, j.b.cx.now, j.b.cy.now
	}
	for i := range n {
		s := &j.seats[i]
		z, px, py := az[i], asx[i], asy[i]
		if g := j.gasket; g != nil {
			z, px, py = z+g[0].now[i], px+g[1].now[i], py+g[2].now[i]
		}
		bx, by := bsx[i], bsy[i]
		s.least(px, py, bx, by)
		if j.clocked {
			r := s.r
			turn(&s.r, &s.n, j.clock[0], j.clock[1], &r)
		}
		qx, qy, rx, ry := acx[i], acy[i], bcx[i], bcy[i]
		s.q[0], s.q[1], s.q[2] = qx, qy, z+px*qx+py*qy
		s.qB[0], s.qB[1], s.qB[2] = rx, ry, bz[i]+bx*rx+by*ry
	}
}

// place sets where B lies in S, A lying at from, nil for the base.
func (j *jointColumns) place(n int, from *[chunk]rigid) {
	for i := range n {
		s, f := &j.seats[i], j.at[i]
		r := &s.r
		if f.G != 0 {
			s.spin(f.G)
		}
		// a shift along the meeting plane
		x, y := s.q[0]+f.X, s.q[1]+f.Y
		z := s.q[2] + s.mx*f.X + s.my*f.Y
		bx, by, bz := s.qB[0], s.qB[1], s.qB[2]
		x -= r[0]*bx + r[1]*by + r[2]*bz
		y -= r[3]*bx + r[4]*by + r[5]*bz
		z -= r[6]*bx + r[7]*by + r[8]*bz
		to := &j.placed[i]
		if from == nil {
			to.r = *r
			to.t[0], to.t[1], to.t[2] = x, y, z
			continue
		}
		a := &from[i]
		to.r[0], to.r[3], to.r[6] = a.rotate(r[0], r[3], r[6])
		to.r[1], to.r[4], to.r[7] = a.rotate(r[1], r[4], r[7])
		to.r[2], to.r[5], to.r[8] = a.rotate(r[2], r[5], r[8])
		x, y, z = a.rotate(x, y, z)
		to.t[0], to.t[1], to.t[2] = x+a.t[0], y+a.t[1], z+a.t[2]
	}
}

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
