package align

import (
	"math"
	"slices"
)

// jointColumns are the numbers of one joint, and where they seat part B on part A.
type jointColumns struct {
	a, b    *faceColumns
	gasket  *[3]*column // thickness and taper; nil: none
	ring    *column     // register ring; nil: none
	none    *column     // zeros
	pilot   bool
	kindA   PilotKind
	kindB   PilotKind
	engaged *column // nil: no lean is felt
	pins    []pinColumns
	bolts   []Vec2
	room    *column    // bolt clearance; nil: not given
	clock   [2]float64 // sine and versine of the turn by the nominal clock
	clocked bool
	lies    Lie
	float   *[3]*column // measured; nil: not
	pick    int         // column of the samples that the float is drawn from; −1: none
	each    int         // fences of a sample: the pilot's first
	stride  int         // with room for one more, of a register that gives way
	fences  []fence     // of every sample
	floats  [chunk]floatRow
	set     floatSet // of one sample at a time
	seats   [chunk]seatRow
	at      [chunk]float3 // where B lies in its float
	lacks   [chunk]bool   // it does not assemble
	placed  [chunk]rigid  // B in S
}

// layFences lists the fences of every sample, with what is the same in all.
func (j *jointColumns) layFences() {
	var one []fence
	for range j.pilotFences() {
		one = append(one, fence{pin: pilotFence})
	}
	for k, p := range j.pins {
		one = append(one, fence{pin: k, slab: p.slab, nx: p.nx, ny: p.ny})
	}
	for range j.bolts {
		one = append(one, fence{pin: boltFence})
	}
	j.each, j.stride = len(one), len(one)+1
	j.fences = slices.Repeat(append(one, fence{}), chunk)
}

// pilotFences is one for a pilot, two for one that is felt to lean.
func (j *jointColumns) pilotFences() int {
	switch {
	case !j.pilot:
		return 0
	case j.engaged == nil:
		return 1
	}
	return 2
}

// pinColumns are a pin and its holes.
type pinColumns struct {
	a, b            holeColumns
	d, stepX, stepY *column
	pressed         Press
	slab            bool
	nx, ny          float64
}

// seatRow is a seat before it floats.
type seatRow struct {
	r     [9]float64 // of B on A, flush, at nominal clock
	n     [3]float64 // normal of the meeting plane,
	mx    float64    // and its slopes
	my    float64
	q, qB [3]float64 // the registration point, in A and in B
	level bool       // B's face is square to its z axis
}

// newJointColumns lays out joint i; nil when its parts do not close flush on planes, or it may lie anywhere.
func newJointColumns(b *columnsBuilder, c *columns, i int) *jointColumns {
	k := c.k
	j := &k.stack.Joints[i]
	fa, fb := k.parts[i].rear, k.parts[i+1].front
	switch {
	case j.SeatOnPoints && len(fa.points)+len(fb.points) > 0, j.Rules == RulesPilot, j.Float == nil && j.Lies == LiesAny:
		return nil
	}
	q := &jointColumns{
		a: &c.faces[i][1], b: &c.faces[i+1][0], kindA: fa.kind, kindB: fb.kind, pilot: k.flush[i].pilot, lies: j.Lies, pick: -1, none: b.constant(0),
	}
	if k.stack.Parts[i].Turned {
		q.a = &c.faces[i][0]
	}
	if k.stack.Parts[i+1].Turned {
		q.b = &c.faces[i+1][1]
	}
	if g := j.Gasket; g != nil {
		q.gasket = &[3]*column{columnOf(b, &g.Thickness, 1), columnOf(b, &g.Slope.X, 1), columnOf(b, &g.Slope.Y, 1)}
	}
	if q.pilot && q.kindA == q.kindB {
		q.ring = columnOf(b, &j.RegisterRing.Value, 1)
	}
	if q.pilot && j.Engagement.Given {
		q.engaged = columnOf(b, &j.Engagement.Value, 1)
	}
	full := 0
	for n, h := range k.lay.pins[i] {
		pin := &j.Pins[n]
		p := pinColumns{
			a: q.a.holes[h.a], b: q.b.holes[h.b],
			d: columnOf(b, &pin.Diameter, 1), stepX: columnOf(b, &pin.Step.X, 1), stepY: columnOf(b, &pin.Step.Y, 1), pressed: pin.Pressed,
		}
		if v := pin.Locates.Value; pin.Locates.Given {
			n := size2(v.X, v.Y)
			p.slab, p.nx, p.ny = true, v.X/n, v.Y/n
		} else {
			full++
		}
		q.pins = append(q.pins, p)
	}
	if !q.pilot && full < 2 && j.BoltClearance.Given {
		q.room, q.bolts = columnOf(b, &j.BoltClearance.Value, 1), j.Bolts
	}
	if f := j.Float; f != nil {
		q.float = &[3]*column{columnOf(b, &f.X, 1), columnOf(b, &f.Y, 1), columnOf(b, &f.Turn, 1)}
	}
	if j.Clock != 0 {
		q.clocked = true
		q.clock[0], q.clock[1] = sineVersine(-float64(j.Clock))
	}
	q.layFences()
	return q
}

// seat works out the meeting planes and the seat, as [seating.seat] does.
func (j *jointColumns) seat(n int) {
	az, asx, asy := j.a.z.now, j.a.sx.now, j.a.sy.now
	bz, bsx, bsy := j.b.z.now, j.b.sx.now, j.b.sy.now
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

// least sets the normal of a meeting plane with slope (px, py) and the least rotation that lays a face with slope (bx, by) on it: with unit normals u to v, c = u × v and d = u·v, it is d I + [c]× + c cᵀ/(1 + d), Rodrigues' formula.
func (s *seatRow) least(px, py, bx, by float64) {
	iv := 1 / math.Sqrt(px*px+py*py+1)
	vx, vy, vz := px*iv, py*iv, -iv
	s.mx, s.my = px, py
	s.n[0], s.n[1], s.n[2] = -vx, -vy, iv
	if s.level = bx == 0 && by == 0; s.level { // u = −z
		h := 1 / (1 + iv)
		hx, xy := h*vx, -h*vx*vy
		s.r[0], s.r[1], s.r[2] = 1-hx*vx, xy, -vx
		s.r[3], s.r[4], s.r[5] = xy, 1-h*vy*vy, -vy
		s.r[6], s.r[7], s.r[8] = vx, vy, iv
		return
	}
	iu := 1 / math.Sqrt(bx*bx+by*by+1)
	ux, uy, uz := bx*iu, by*iu, -iu
	cx, cy, cz := uy*vz-uz*vy, uz*vx-ux*vz, ux*vy-uy*vx
	d := ux*vx + uy*vy + uz*vz
	h := 1 / (1 + d)
	hx, hy := h*cx, h*cy
	xy, xz, yz := hx*cy, hx*cz, hy*cz
	s.r[0], s.r[1], s.r[2] = d+hx*cx, xy-cz, xz+cy
	s.r[3], s.r[4], s.r[5] = xy+cz, d+hy*cy, yz-cx
	s.r[6], s.r[7], s.r[8] = xz-cy, yz+cx, d+h*cz*cz
}

// turn sets out to r followed by a turn about the unit vector n, by an angle of the given sine and versine (1 − cosine): (I + sin [n]× + versine (n nᵀ − I)) r.
func turn(out *[9]float64, n *[3]float64, sin, versine float64, r *[9]float64) {
	nx, ny, nz := n[0], n[1], n[2]
	keep := 1 - versine
	sx, sy, sz := sin*nx, sin*ny, sin*nz
	for c := range 3 {
		x, y, z := r[c], r[3+c], r[6+c]
		along := versine * (nx*x + ny*y + nz*z)
		out[c] = keep*x + sy*z - sz*y + along*nx
		out[3+c] = keep*y + sz*x - sx*z + along*ny
		out[6+c] = keep*z + sx*y - sy*x + along*nz
	}
}

// sineVersine is the sine and 1 − cosine of an angle. Small angles, which turns within a float are, take the series, exact here to rounding.
func sineVersine(a float64) (sin, versine float64) {
	if q := a * a; q < 1e-4 {
		return a * (1 - q*(1.0/6)*(1-q*(1.0/20)*(1-q*(1.0/42)))), q * 0.5 * (1 - q*(1.0/12)*(1-q*(1.0/30)))
	}
	half := math.Sin(a / 2)
	return math.Sin(a), 2 * half * half
}

// floatRow is what is known of a float before B is laid in it.
type floatRow struct {
	target  float3
	qq, qr  float64 // of the pins: Σ|q|² and Σ q·r at the target without a turn
	fixed   bool    // the shift is held
	centred bool    // a pilot leaves room where it is centred; true without one
	roomy   bool    // every fence leaves room at the target
	drawn   bool    // at is set
	at      sight
}

// look sets the fences and the target of sample i for the float that follows.
func (j *jointColumns) look(i int) {
	s, row := &j.set, &j.floats[i]
	s.fences = j.fences[i*j.stride : i*j.stride+j.each : (i+1)*j.stride]
	if row.fixed {
		s.fences = s.fences[j.pilotFences():]
	}
	s.fixed, s.target = row.fixed, row.target
}

// settle lays B in its float. Samples whose register strains are marked hard.
//
// What needs no guess comes first, for all samples: the processor works on several at once until a draw is refused.
func (j *jointColumns) settle(n int, from *[chunk]rigid, pick []float64, hard *[chunk]bool) {
	s := &j.set
	drawn := j.float == nil && j.lies == LiesUniform && pick != nil
	j.register(n, hard)
	for k := range j.pins {
		j.pin(k, n)
	}
	for k := range j.bolts {
		j.bolt(k, n)
	}
	s.turns = j.each > j.pilotFences()
	but := -1
	if j.pilotFences() == 1 { // it leaves room, or the sample is not centred
		but = 0
	}
	for i := range n {
		row := &j.floats[i]
		j.look(i)
		switch {
		case !j.pilot: // the aim weighs turns by the lever
			s.measure()
			s.aim(false)
		case row.qq > 0:
			s.target.g = -row.qr / row.qq
		}
		row.target = s.target
		row.roomy = row.centred && s.roomy(s.target, openTol, but)
		if drawn {
			row.drawn = s.sight(&row.at)
		}
	}
	still := j.float == nil && (j.lies == LiesRest || pick == nil && j.lies != LiesHang)
	for i := range n {
		row := &j.floats[i]
		j.lacks[i] = false
		switch {
		case hard[i]:
			continue
		case row.roomy && still:
			j.at[i] = row.target
			continue
		case row.roomy && drawn && row.drawn:
			j.look(i)
			var ok bool
			if j.at[i], ok = s.draw(&row.at, pick[i]); ok {
				continue
			}
		}
		u := math.NaN()
		if pick != nil {
			u = pick[i]
		}
		j.look(i)
		at, err := j.lie(i, from, u)
		if err != nil {
			hard[i] = true
		}
		j.at[i], j.lacks[i] = at, s.lack > 0
	}
}

// lie is where B lies in sample i, whatever its fences leave.
func (j *jointColumns) lie(i int, from *[chunk]rigid, u float64) (float3, error) {
	s := &j.set
	s.measure()
	if err := s.prepare(); err != nil {
		return float3{}, err
	}
	rest, err := s.nearest()
	switch {
	case err != nil:
		return rest, err
	case j.float != nil:
		return float3{j.float[0].now[i], j.float[1].now[i], -j.float[2].now[i]}, nil
	case j.lies == LiesHang:
		mx, my := j.seats[i].mx, j.seats[i].my
		if from == nil {
			return s.hang(0, -1)
		}
		r := &from[i].r
		return s.hang(-(r[3] + mx*r[5]), -(r[4] + my*r[5]))
	case j.lies == LiesUniform && u == u:
		return s.uniform(u)
	case j.lies == LiesRim && u == u:
		return s.rim(rest, u), nil
	}
	return rest, nil
}

// register sets the fences of the pilot, and the target as far as it goes; samples in which it strains are marked hard.
func (j *jointColumns) register(n int, hard *[chunk]bool) {
	if !j.pilot {
		for i := range n {
			j.floats[i] = floatRow{centred: true}
		}
		return
	}
	a, b, sign := j.a.d.now, j.b.d.now, 1.0
	if j.kindA == Spigot {
		sign = -1
	}
	for i := range n {
		row, f := &j.floats[i], &j.fences[i*j.stride]
		c := notNegative(sign * (a[i] - b[i]))
		if j.ring != nil {
			c = notNegative(a[i]-j.ring.now[i]) + notNegative(b[i]-j.ring.now[i])
		}
		f.room = c / 2
		row.target, row.fixed, row.centred = float3{}, c <= touching, c/2 >= openTol
		row.qq, row.qr = 0, 0
		if j.engaged == nil {
			continue
		}
		lx, ly, size := j.lean(i)
		row.target.x, row.target.y = -lx/2, -ly/2
		if f = &j.fences[i*j.stride+1]; size-c > touching {
			hard[i] = true
		}
		f.px, f.py, f.room = lx, ly, c/2
	}
}

// pin sets the fences of pin k.
func (j *jointColumns) pin(k, n int) {
	p := &j.pins[k]
	ax, ay, ad, bx, by, bd := p.a.x.now, p.a.y.now, p.a.d.now, p.b.x.now, p.b.y.now, p.b.d.now
	d, stepX, stepY, slopeX, slopeY := p.d.now, p.stepX.now, p.stepY.now, j.b.sx.now, j.b.sy.now
	first := j.pilotFences() + k
	for i := range n {
		s, f, row := &j.seats[i], &j.fences[i*j.stride+first], &j.floats[i]
		x, y := bx[i]-s.qB[0], by[i]-s.qB[1]
		z := slopeX[i]*x + slopeY[i]*y
		x, y = s.r[0]*x+s.r[1]*y+s.r[2]*z, s.r[3]*x+s.r[4]*y+s.r[5]*z
		f.px, f.py = x+s.q[0]-ax[i]-stepX[i], y+s.q[1]-ay[i]-stepY[i]
		f.qx, f.qy = -y, x
		f.room = pinClearance(p.pressed, d[i], ad[i], bd[i]) / 2
		x, y = f.px+row.target.x, f.py+row.target.y
		if p.slab {
			q := p.nx*f.qx + p.ny*f.qy
			row.qq += q * q
			row.qr += q * (p.nx*x + p.ny*y)
			continue
		}
		row.qq += f.qx*f.qx + f.qy*f.qy
		row.qr += f.qx*x + f.qy*y
	}
}

// bolt sets the fences of bolt k.
func (j *jointColumns) bolt(k, n int) {
	b := j.bolts[k]
	first := j.pilotFences() + len(j.pins) + k
	for i := range n {
		s, f := &j.seats[i], &j.fences[i*j.stride+first]
		f.qx, f.qy, f.room = s.q[1]-float64(b.Y), float64(b.X)-s.q[0], j.room.now[i]/2
	}
}

// lean is how far the register's mouths lie apart, as a vector and as the length that must not exceed the clearance.
func (j *jointColumns) lean(i int) (lx, ly, size float64) {
	if j.engaged == nil {
		return 0, 0, 0
	}
	row := &j.seats[i]
	bx, by := -j.b.sx.now[i], -j.b.sy.now[i] // square to its face
	if j.b.px != nil {
		bx, by = j.b.px.now[i], j.b.py.now[i]
	}
	ax, ay := -j.a.sx.now[i], -j.a.sy.now[i]
	if j.a.px != nil {
		ax, ay = j.a.px.now[i], j.a.py.now[i]
	}
	r := &row.r
	x, y, z := r[0]*bx+r[1]*by+r[2], r[3]*bx+r[4]*by+r[5], r[6]*bx+r[7]*by+r[8]
	tx, ty := x/z-ax, y/z-ay
	length := j.engaged.now[i]
	if j.kindB == Spigot {
		return -length * tx, -length * ty, length * size2(tx, ty)
	}
	return length * tx, length * ty, length * size2(tx, ty)
}

// place sets where B lies in S, A lying at from, nil for the base.
func (j *jointColumns) place(n int, from *[chunk]rigid) {
	for i := range n {
		s, f := &j.seats[i], j.at[i]
		r := &s.r
		if f.g != 0 {
			s.spin(f.g)
		}
		// a shift along the meeting plane
		x, y := s.q[0]+f.x, s.q[1]+f.y
		z := s.q[2] + s.mx*f.x + s.my*f.y
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

// spin turns the seated part by g about the normal; on a level face that is B's own z axis.
func (s *seatRow) spin(g float64) {
	sin, versine := sineVersine(g)
	r := &s.r
	if !s.level {
		seated := *r
		turn(r, &s.n, sin, versine, &seated)
		return
	}
	cos := 1 - versine
	r[0], r[1] = cos*r[0]+sin*r[1], cos*r[1]-sin*r[0]
	r[3], r[4] = cos*r[3]+sin*r[4], cos*r[4]-sin*r[3]
	r[6], r[7] = cos*r[6]+sin*r[7], cos*r[7]-sin*r[6]
}
