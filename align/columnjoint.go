package align

import (
	"math"
	"slices"
)

// jointColumns are the numbers of one joint, and where they seat part B on part A.
type jointColumns struct {
	a, b    *faceColumns
	gasket  *[3]column // thickness and taper; nil: none
	ring    column     // register ring; nil: none
	pilot   bool
	kindA   PilotKind
	kindB   PilotKind
	engaged column // nil: no lean is felt
	pins    []pinColumns
	bolts   []Vec2
	room    column     // bolt clearance; nil: not given
	clock   [2]float64 // sine and versine of the turn by the nominal clock
	clocked bool
	lies    Lie
	float   *[3]column // measured; nil: not
	pick    int        // column of the samples that the float is drawn from; −1: none
	each    int        // fences of a sample: the pilot's first
	fences  []fence    // of every sample
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
	j.each = len(one)
	j.fences = slices.Repeat(one, chunk)
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
	d, stepX, stepY column
	pressed         Press
	slab            bool
	nx, ny          float64
}

// seatRow is a seat before it floats.
type seatRow struct {
	r     [9]float64 // of B on A, flush, at nominal clock
	n     [3]float64 // normal of the meeting plane
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
		a: &c.faces[i][1], b: &c.faces[i+1][0], kindA: fa.kind, kindB: fb.kind, pilot: k.flush[i].pilot, lies: j.Lies, pick: -1,
	}
	if k.stack.Parts[i].Turned {
		q.a = &c.faces[i][0]
	}
	if k.stack.Parts[i+1].Turned {
		q.b = &c.faces[i+1][1]
	}
	if g := j.Gasket; g != nil {
		q.gasket = &[3]column{columnOf(b, &g.Thickness, 1), columnOf(b, &g.Slope.X, 1), columnOf(b, &g.Slope.Y, 1)}
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
		q.float = &[3]column{columnOf(b, &f.X, 1), columnOf(b, &f.Y, 1), columnOf(b, &f.Turn, 1)}
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
	az, asx, asy := j.a.z, j.a.sx, j.a.sy
	bz, bsx, bsy := j.b.z, j.b.sx, j.b.sy
	for i := range n {
		s := &j.seats[i]
		z, px, py := az[i], asx[i], asy[i]
		if g := j.gasket; g != nil {
			z, px, py = z+g[0][i], px+g[1][i], py+g[2][i]
		}
		bx, by := bsx[i], bsy[i]
		s.least(px, py, bx, by)
		if j.clocked {
			r := s.r
			turn(&s.r, &s.n, j.clock[0], j.clock[1], &r)
		}
		var qx, qy, rx, ry float64
		if j.pilot {
			qx, qy, rx, ry = j.a.cx[i], j.a.cy[i], j.b.cx[i], j.b.cy[i]
		}
		s.q[0], s.q[1], s.q[2] = qx, qy, z+px*qx+py*qy
		s.qB[0], s.qB[1], s.qB[2] = rx, ry, bz[i]+bx*rx+by*ry
	}
}

// least sets the normal of a meeting plane with slope (px, py) and the least rotation that lays a face with slope (bx, by) on it: with unit normals u to v, c = u × v and d = u·v, it is d I + [c]× + c cᵀ/(1 + d), Rodrigues' formula.
func (s *seatRow) least(px, py, bx, by float64) {
	iv := 1 / math.Sqrt(px*px+py*py+1)
	vx, vy, vz := px*iv, py*iv, -iv
	ux, uy, uz := 0.0, 0.0, -1.0
	if bx != 0 || by != 0 {
		iu := 1 / math.Sqrt(bx*bx+by*by+1)
		ux, uy, uz = bx*iu, by*iu, -iu
	}
	cx, cy, cz := uy*vz-uz*vy, uz*vx-ux*vz, ux*vy-uy*vx
	s.level = bx == 0 && by == 0
	d := ux*vx + uy*vy + uz*vz
	h := 1 / (1 + d)
	hx, hy := h*cx, h*cy
	xy, xz, yz := hx*cy, hx*cz, hy*cz
	s.n[0], s.n[1], s.n[2] = -vx, -vy, iv
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
	target float3
	fixed  bool // the shift is held
	roomy  bool // every fence leaves room at the target
	drawn  bool // at is set
	at     sight
}

// look sets the fences and the target of sample i for the float that follows.
func (j *jointColumns) look(i int) {
	s, row := &j.set, &j.floats[i]
	s.fences = j.fences[i*j.each : (i+1)*j.each : (i+1)*j.each]
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
	for i := range n {
		row := &j.floats[i]
		if !j.fence(i) {
			hard[i] = true
		}
		row.roomy = !s.fixed && s.roomy(s.target, openTol)
		row.target, row.fixed = s.target, s.fixed
		if drawn {
			row.at, row.drawn = s.sight()
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
		return float3{j.float[0][i], j.float[1][i], -j.float[2][i]}, nil
	case j.lies == LiesHang:
		n := &j.seats[i].n
		mx, my := -n[0]/n[2], -n[1]/n[2]
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

// fence sets the fences of sample i; false when its register strains.
func (j *jointColumns) fence(i int) bool {
	s, row := &j.set, &j.seats[i]
	all := j.fences[i*j.each : (i+1)*j.each]
	pilots := j.pilotFences()
	rest := all[pilots:]
	s.fences, s.fixed, s.turns = all, false, len(rest) > 0
	s.target = float3{}
	if j.pilot {
		c := j.clearance(i)
		lx, ly, size := j.lean(i)
		if size-c > touching {
			return false
		}
		s.target.x, s.target.y = -lx/2, -ly/2
		if c <= touching {
			s.fences, s.fixed = rest, true
		} else {
			all[0].room = c / 2
			if j.engaged != nil {
				f := &all[1]
				f.px, f.py, f.room = lx, ly, c/2
			}
		}
	}
	qx, qy := row.q[0], row.q[1]
	for k := range j.pins {
		p, f := &j.pins[k], &rest[k]
		x, y := p.b.x[i]-row.qB[0], p.b.y[i]-row.qB[1]
		z := j.b.sx[i]*x + j.b.sy[i]*y
		x, y = row.r[0]*x+row.r[1]*y+row.r[2]*z, row.r[3]*x+row.r[4]*y+row.r[5]*z
		f.px, f.py = x+qx-p.a.x[i]-p.stepX[i], y+qy-p.a.y[i]-p.stepY[i]
		f.qx, f.qy = -y, x
		f.room = pinClearance(p.pressed, p.d[i], p.a.d[i], p.b.d[i]) / 2
	}
	for k, b := range j.bolts {
		f := &rest[len(j.pins)+k]
		f.qx, f.qy, f.room = qy-float64(b.Y), float64(b.X)-qx, j.room[i]/2
	}
	if !j.pilot { // the aim weighs turns by the lever
		s.measure()
	}
	s.aim(j.pilot)
	return true
}

// clearance is the register's diametral clearance, at least 0.
func (j *jointColumns) clearance(i int) float64 {
	a, b := j.a.d[i], j.b.d[i]
	switch {
	case j.ring != nil:
		return notNegative(a-j.ring[i]) + notNegative(b-j.ring[i])
	case j.kindA == PilotBore:
		return notNegative(a - b)
	}
	return notNegative(b - a)
}

// lean is how far the register's mouths lie apart, as a vector and as the length that must not exceed the clearance.
func (j *jointColumns) lean(i int) (lx, ly, size float64) {
	if j.engaged == nil {
		return 0, 0, 0
	}
	row := &j.seats[i]
	bx, by := -j.b.sx[i], -j.b.sy[i] // square to its face
	if j.b.px != nil {
		bx, by = j.b.px[i], j.b.py[i]
	}
	ax, ay := -j.a.sx[i], -j.a.sy[i]
	if j.a.px != nil {
		ax, ay = j.a.px[i], j.a.py[i]
	}
	r := &row.r
	x, y, z := r[0]*bx+r[1]*by+r[2], r[3]*bx+r[4]*by+r[5], r[6]*bx+r[7]*by+r[8]
	tx, ty := x/z-ax, y/z-ay
	length := j.engaged[i]
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
		z := s.q[2] - (s.n[0]*f.x+s.n[1]*f.y)/s.n[2]
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
		for c := range 3 {
			to.r[c], to.r[3+c], to.r[6+c] = a.rotate(r[c], r[3+c], r[6+c])
		}
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
	for k := 0; k < 9; k += 3 {
		x, y := r[k], r[k+1]
		r[k], r[k+1] = cos*x+sin*y, cos*y-sin*x
	}
}
