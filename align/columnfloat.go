package align

import (
	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/align/internal/tol"
)

// constraintsOf are those of sample i: without the pilot's where the shift is held, and without the
// first of a pilot that could lean and does not, which is the second. There is room for one more.
func (j *jointColumns) constraintsOf(i int) []floatset.Constraint {
	c := j.constraints[i*j.stride : i*j.stride+j.each : (i+1)*j.stride]
	switch row := &j.floats[i]; {
	case row.fixed:
		return c[j.pilotConstraints():]
	case row.straight:
		return c[1:]
	}
	return c
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

// alone is the number that the float of sample i is drawn from alone; false where it follows all of
// them.
func (p *picks) alone(i int) (float64, bool) { return p[0][i], floatset.Numbers{1: p[1][i]}.Alone() }

// settle lays B in its float. Samples whose register strains are marked hard.
//
// What needs no guess comes first, for all samples: the processor works on several at once until a
// jump goes the other way. Draws go round by round, those that a round refuses into the next.
func (j *jointColumns) settle(n int, from *[chunk]rigid, pick *picks, hard *[chunk]bool) {
	j.constrain(n, hard)
	still, drawn := j.simply(pick)
	waits := j.waits[:0]
	for i := range n {
		row, c := &j.floats[i], j.constraintsOf(i)
		if j.pilot {
			row.turnToPins()
		} else {
			j.aim(i)
		}
		if j.lacks[i] = false; j.use != nil {
			j.useOf(i, hard)
		}
		switch {
		case hard[i]:
		case !(still || drawn) || !row.eased(c, j.thin, j.pilotConstraints() == 1):
			j.lie(i, from, pick, hard)
		case still:
			j.at[i] = row.target
		default:
			switch u, alone := pick.alone(i); {
			case !alone:
				j.lie(i, from, pick, hard)
			case row.fixed:
				j.at[i] = floatset.TurnedAlone(c, row.target, u)
			case j.pairs && row.draw.Sight(c, floatset.WordsOf(u)):
				waits = append(waits, uint8(i))
			case !j.draw(i, floatset.WordsOf(u)):
				j.lie(i, from, pick, hard)
			}
		}
	}
	for _, i := range j.rounds(waits) {
		j.lie(int(i), from, pick, hard)
	}
}

// constrain sets the constraints of every sample, and its target as far as they say it.
func (j *jointColumns) constrain(n int, hard *[chunk]bool) {
	j.register(n, hard)
	for k := range j.pins {
		j.pin(k, n)
	}
	for k := range j.bolts {
		j.bolt(k, n)
	}
}

// simply reports whether B rests, or is drawn, where its constraints leave room.
func (j *jointColumns) simply(pick *picks) (still, drawn bool) {
	if j.float != nil {
		return false, false
	}
	return j.lies == LiesRest || pick == nil && j.lies != LiesHang, j.lies == LiesUniform && pick != nil
}

// turnToPins aims at the turn that suits the pins best, of a joint with a pilot.
func (row *floatRow) turnToPins() {
	if row.qq > 0 {
		row.target.G = -row.qr / row.qq
	}
}

// aim sets the target of a joint without a pilot in sample i: it weighs turns by the characteristic
// length.
func (j *jointColumns) aim(i int) {
	s := &j.set
	s.Constraints, s.Turns = j.constraintsOf(i), j.each > 0
	s.Measure()
	s.Aim(false)
	j.floats[i].target = s.Target
}

// eased reports whether all constraints but those of a held shift leave room at the target. A pilot
// that is not felt to lean, the first of them, leaves room, or the sample is not centred.
func (row *floatRow) eased(c []floatset.Constraint, thin float64, centring bool) bool {
	but := -1
	if centring && !row.fixed {
		but = 0
	}
	return (row.fixed || row.centred) && floatset.Roomy(c, row.target, thin, but)
}

// rounds draws in samples that wait, each of a pair of constraints, and returns those that too many
// rounds refuse.
func (j *jointColumns) rounds(waits []uint8) []uint8 {
	rest := append(j.rest[:0], waits...)
	for range floatset.Tries {
		left := 0
		for _, i := range rest {
			rest[left] = i
			left += 1 - j.floats[i&(chunk-1)].draw.Try()
		}
		if rest = rest[:left]; left == 0 {
			break
		}
	}
	for _, i := range waits {
		j.at[i&(chunk-1)] = j.floats[i&(chunk-1)].draw.At()
	}
	return rest
}

// draw draws in sample i by itself, and reports whether that went.
func (j *jointColumns) draw(i int, u floatset.Words) bool {
	j.take(i)
	var ok bool
	j.at[i], ok = j.set.Reject(u)
	return ok
}

// take hands sample i to the joint's set.
func (j *jointColumns) take(i int) {
	s := &j.set
	s.Constraints, s.Fixed, s.Target = j.constraintsOf(i), j.floats[i].fixed, j.floats[i].target
	s.Turns = j.each > j.pilotConstraints()
}

// lie finds where B lies in sample i, whatever its constraints leave.
func (j *jointColumns) lie(i int, from *[chunk]rigid, pick *picks, hard *[chunk]bool) {
	j.take(i)
	at, err := j.where(i, from, pick.of(i))
	j.at[i], j.lacks[i] = at, j.set.Lack > 0
	if err != nil {
		hard[i] = true
	}
}

// useOf sets what assembling takes of the clearances of sample i, before any is relaxed.
func (j *jointColumns) useOf(i int, hard *[chunk]bool) {
	j.take(i)
	j.set.Measure()
	j.set.Lack = 0
	use, err := j.set.Utilisation()
	j.use[i], hard[i] = use, hard[i] || err != nil
}

// where is where B lies in sample i, whatever its constraints leave.
func (j *jointColumns) where(i int, from *[chunk]rigid, u *floatset.Numbers) (floatset.Vec, error) {
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
		c := max(pilotClearance(j.kindA, j.kindB, a[i], b[i], ring[i]), 0)
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
	d, stepX, stepY, slopeX, slopeY := p.d.now, p.stepX.now, p.stepY.now, j.bsx.now, j.bsy.now
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
