package align

import (
	"math"
	"slices"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/align/internal/tol"
)

// layFences lists the fences of every sample, with what is the same in all.
func (j *jointColumns) layFences() {
	var one []floatset.Constraint
	for range j.pilotFences() {
		one = append(one, floatset.Constraint{Mark: floatset.OfShift})
	}
	for k, p := range j.pins {
		one = append(one, floatset.Constraint{Mark: k, Slab: p.slab, NX: p.nx, NY: p.ny})
	}
	for range j.bolts {
		one = append(one, floatset.Constraint{Mark: boltFence})
	}
	j.thin = (&floatset.Set{Constraints: one}).Thin()
	j.each, j.stride = len(one), len(one)+1
	j.fences = slices.Repeat(append(one, floatset.Constraint{}), chunk)
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

// floatRow is what is known of a float before B is laid in it.
type floatRow struct {
	target   floatset.Vec
	qq, qr   float64 // of the pins: Σ|q|² and Σ q·r at the target without a turn
	fixed    bool    // the shift is held
	straight bool    // a pilot that could lean does not
	centred  bool    // a pilot leaves room where it is centred; true without one
	roomy    bool    // every fence leaves room at the target
	drawn    bool    // at is set
	at       floatset.Sighting
}

// look sets the fences and the target of sample i for the float that follows.
func (j *jointColumns) look(i int) {
	s, row := &j.set, &j.floats[i]
	s.Constraints = j.fences[i*j.stride : i*j.stride+j.each : (i+1)*j.stride]
	switch {
	case row.fixed:
		s.Constraints = s.Constraints[j.pilotFences():]
	case row.straight: // the first of its two fences is the second
		s.Constraints = s.Constraints[1:]
	}
	s.Fixed, s.Target = row.fixed, row.target
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
	s.Turns = j.each > j.pilotFences()
	but := -1
	if j.pilotFences() == 1 { // it leaves room, or the sample is not centred
		but = 0
	}
	for i := range n {
		row := &j.floats[i]
		j.look(i)
		switch {
		case !j.pilot: // the aim weighs turns by the lever
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
		case row.roomy && drawn && row.drawn:
			j.look(i)
			var ok bool
			if j.at[i], ok = s.Draw(&row.at, pick[i]); ok {
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
		j.at[i], j.lacks[i] = at, s.Lack > 0
	}
}

// lie is where B lies in sample i, whatever its fences leave.
func (j *jointColumns) lie(i int, from *[chunk]rigid, u float64) (floatset.Vec, error) {
	s := &j.set
	s.Measure()
	if err := s.Prepare(); err != nil {
		return floatset.Vec{}, err
	}
	rest, err := s.Nearest()
	switch {
	case err != nil:
		return rest, err
	case j.float != nil:
		return floatset.Vec{X: j.float[0].now[i], Y: j.float[1].now[i], G: -j.float[2].now[i]}, nil
	case j.lies == LiesHang:
		mx, my := j.seats[i].mx, j.seats[i].my
		if from == nil {
			return s.Hang(0, -1)
		}
		r := &from[i].r
		return s.Hang(-(r[3] + mx*r[5]), -(r[4] + my*r[5]))
	case j.lies == LiesUniform && u == u:
		return s.Uniform(u)
	case j.lies == LiesRim && u == u:
		return s.Rim(rest, u), nil
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
		f.Radius = c / 2
		row.target, row.fixed, row.centred = floatset.Vec{}, c <= tol.Touching, c/2 >= j.thin
		row.qq, row.qr = 0, 0
		if j.engaged == nil {
			continue
		}
		lx, ly, size := j.lean(i)
		row.target.X, row.target.Y, row.straight = -lx/2, -ly/2, lx == 0 && ly == 0
		if f = &j.fences[i*j.stride+1]; size-c > tol.Touching {
			hard[i] = true
		}
		f.PX, f.PY, f.Radius = lx, ly, c/2
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
		f.PX, f.PY = x+s.q[0]-ax[i]-stepX[i], y+s.q[1]-ay[i]-stepY[i]
		f.QX, f.QY = -y, x
		f.Radius = pinClearance(p.pressed, d[i], ad[i], bd[i]) / 2
		x, y = f.PX+row.target.X, f.PY+row.target.Y
		if p.slab {
			q := p.nx*f.QX + p.ny*f.QY
			row.qq += q * q
			row.qr += q * (p.nx*x + p.ny*y)
			continue
		}
		row.qq += f.QX*f.QX + f.QY*f.QY
		row.qr += f.QX*x + f.QY*y
	}
}

// bolt sets the fences of bolt k.
func (j *jointColumns) bolt(k, n int) {
	b := j.bolts[k]
	first := j.pilotFences() + len(j.pins) + k
	for i := range n {
		s, f := &j.seats[i], &j.fences[i*j.stride+first]
		f.QX, f.QY, f.Radius = s.q[1]-float64(b.Y), float64(b.X)-s.q[0], j.room.now[i]/2
	}
}

// lean is how far the register's mouths lie apart, as a vector and as the length that must not exceed the clearance.
func (j *jointColumns) lean(i int) (lx, ly, size float64) {
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
	tx, ty := leanOf(x/z, y/z, ax, ay)
	length := j.engaged.now[i]
	if j.kindB == Spigot {
		return -length * tx, -length * ty, length * dense.Length(tx, ty)
	}
	return length * tx, length * ty, length * dense.Length(tx, ty)
}
