package align

import (
	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/align/internal/tol"
)

// look sets the constraints and the target of sample i for the float that follows.
func (j *jointColumns) look(i int) {
	s, row := &j.set, &j.floats[i]
	s.Constraints = j.constraints[i*j.stride : i*j.stride+j.each : (i+1)*j.stride]
	switch {
	case row.fixed:
		s.Constraints = s.Constraints[j.pilotConstraints():]
	case row.straight: // the first of its two constraints is the second
		s.Constraints = s.Constraints[1:]
	}
	s.Fixed, s.Target = row.fixed, row.target
}

// picks are the columns that a float is drawn from.
type picks [FloatColumns][]float64

// of are those of sample i; nil where there are none.
func (p *picks) of(i int) *floatset.Numbers {
	if p == nil {
		return nil
	}
	return &floatset.Numbers{p[0][i], p[1][i], p[2][i]}
}

// settle lays B in its float. Samples whose register strains are marked hard.
//
// What needs no guess comes first, for all samples: the processor works on several at once until a
// draw is refused.
func (j *jointColumns) settle(n int, from *[chunk]rigid, pick *picks, hard *[chunk]bool) {
	s := &j.set
	drawn := j.float == nil && j.lies == LiesUniform && pick != nil
	j.register(n, hard)
	for k := range j.pins {
		j.pin(k, n)
	}
	for k := range j.bolts {
		j.bolt(k, n)
	}
	s.Turns = j.each > j.pilotConstraints()
	but := -1
	if j.pilotConstraints() == 1 { // it leaves room, or the sample is not centred
		but = 0
	}
	for i := range n {
		row := &j.floats[i]
		j.look(i)
		switch {
		case !j.pilot: // the aim weighs turns by the characteristic length
			s.Measure()
			s.Aim(false)
		case row.qq > 0:
			s.Target.G = -row.qr / row.qq
		}
		row.target = s.Target
		row.roomy = row.centred && s.Roomy(s.Target, j.thin, but)
		if drawn {
			row.drawn = s.Sight(&row.at)
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
		case row.roomy && drawn && row.drawn && pick[1][i] < 0:
			j.look(i)
			var ok bool
			if j.at[i], ok = s.Draw(&row.at, floatset.WordsOf(pick[0][i])); ok {
				continue
			}
		}
		j.look(i)
		at, err := j.lie(i, from, pick.of(i))
		if err != nil {
			hard[i] = true
		}
		j.at[i], j.lacks[i] = at, s.Lack > 0
	}
}

// lie is where B lies in sample i, whatever its constraints leave.
func (j *jointColumns) lie(i int, from *[chunk]rigid, u *floatset.Numbers) (floatset.Vec, error) {
	s := &j.set
	s.Measure()
	if err := s.Prepare(); err != nil {
		return floatset.Vec{}, err
	}
	rest, err := s.Nearest()
	if err != nil {
		return rest, err
	}
	if j.float != nil {
		return floatset.Vec{X: j.float[0].now[i], Y: j.float[1].now[i], G: -j.float[2].now[i]}, nil
	}
	dx, dy := 0.0, -1.0
	if from != nil {
		r, seat := &from[i].r, &j.seats[i]
		dx, dy = -(r[3] + seat.mx*r[5]), -(r[4] + seat.my*r[5])
	}
	return lieIn(s, j.lies, rest, dx, dy, u)
}

// register sets the constraints of the pilot, and the target as far as it goes; samples in which it
// strains are marked hard.
func (j *jointColumns) register(n int, hard *[chunk]bool) {
	if !j.pilot {
		for i := range n {
			j.floats[i] = floatRow{centred: true}
		}
		return
	}
	a, b, ring := j.a.d.now, j.b.d.now, j.none.now
	if j.ring != nil {
		ring = j.ring.now
	}
	for i := range n {
		row, f := &j.floats[i], &j.constraints[i*j.stride]
		c := notNegative(pilotClearance(j.kindA, j.kindB, a[i], b[i], ring[i]))
		f.Radius = c / 2
		row.target, row.fixed, row.centred = floatset.Vec{}, c <= tol.Touching, c/2 >= j.thin
		row.qq, row.qr = 0, 0
		if j.engaged == nil {
			continue
		}
		tx, ty := j.lean(i)
		length := j.engaged.now[i]
		hard[i] = hard[i] || strainOf(length, tx, ty, c) > 0
		lx, ly := towards(j.kindB, length)*tx, towards(j.kindB, length)*ty
		row.target.X, row.target.Y, row.straight = -lx/2, -ly/2, lx == 0 && ly == 0
		f = &j.constraints[i*j.stride+1]
		f.PX, f.PY, f.Radius = lx, ly, c/2
	}
}

// pin sets the constraints of pin k.
func (j *jointColumns) pin(k, n int) {
	p := &j.pins[k]
	ax, ay, ad, bx, by, bd := p.a.x.now, p.a.y.now, p.a.d.now, p.b.x.now, p.b.y.now, p.b.d.now
	d, stepX, stepY, slopeX, slopeY := p.d.now, p.stepX.now, p.stepY.now, j.b.sx.now, j.b.sy.now
	first := j.pilotConstraints() + k
	for i := range n {
		s, f, row := &j.seats[i], &j.constraints[i*j.stride+first], &j.floats[i]
		x, y := bx[i]-s.qB[0], by[i]-s.qB[1]
		z := slopeX[i]*x + slopeY[i]*y
		x, y = s.r[0]*x+s.r[1]*y+s.r[2]*z, s.r[3]*x+s.r[4]*y+s.r[5]*z
		setPin(f, x+s.q[0], y+s.q[1], x, y, ax[i], ay[i], stepX[i], stepY[i])
		f.Radius = pinClearance(p.pressed, d[i], ad[i], bd[i]) / 2
		qq, qr := f.Turning(row.target.X, row.target.Y)
		row.qq, row.qr = row.qq+qq, row.qr+qr
	}
}

// bolt sets the constraints of bolt k.
func (j *jointColumns) bolt(k, n int) {
	b := j.bolts[k]
	first := j.pilotConstraints() + len(j.pins) + k
	for i := range n {
		s, f := &j.seats[i], &j.constraints[i*j.stride+first]
		setBolt(f, b, s.q[0], s.q[1], j.room.now[i])
	}
}

// lean is how B's pilot axis leans from A's in sample i.
func (j *jointColumns) lean(i int) (tx, ty float64) {
	bx, by := -j.b.sx.now[i], -j.b.sy.now[i] // square to its face
	if j.b.px != nil {
		bx, by = j.b.px.now[i], j.b.py.now[i]
	}
	ax, ay := -j.a.sx.now[i], -j.a.sy.now[i]
	if j.a.px != nil {
		ax, ay = j.a.px.now[i], j.a.py.now[i]
	}
	r := &j.seats[i].r
	x, y, z := r[0]*bx+r[1]*by+r[2], r[3]*bx+r[4]*by+r[5], r[6]*bx+r[7]*by+r[8]
	return leanOf(x/z, y/z, ax, ay)
}
