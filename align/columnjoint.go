package align

import (
	"slices"

	"example.com/borestack/align/internal/floatset"
)

// jointColumns are the numbers of one joint, and where they seat part B on part A.
type jointColumns struct {
	a, b        *faceColumns
	bz, bsx     *column // B's plane as it lies on A's: that of its face, but for a seat on points
	bsy         *column
	points      *pointColumns // nil: the planes close
	gasket      *[3]*column   // thickness and taper; nil: none
	ring        *column       // register ring; nil: none
	none        *column       // zeros
	pilot       bool
	kindA       PilotKind
	kindB       PilotKind
	engaged     *column // nil: no lean is felt
	pins        []pinColumns
	bolts       []Vec2
	room        *column    // bolt clearance; nil: not given
	clock       [2]float64 // sine and versine of the turn by the nominal clock
	clocked     bool
	lies        Lie
	float       *[3]*column           // measured; nil: not
	pick        int                   // first of the columns of the samples that the float is drawn from; −1: none
	each        int                   // constraints of a sample: the pilot's first
	stride      int                   // with room for one more, of a register that gives way
	constraints []floatset.Constraint // of every sample
	floats      [chunk]floatRow
	pairs       bool         // two whole constraints: a draw goes by the round
	thin        float64      // room below which one of them holds like a press fit
	set         floatset.Set // of one sample at a time
	seats       [chunk]seatRow
	at          [chunk]floatset.Vec // where B lies in its float
	lacks       [chunk]bool         // it does not assemble
	use         []float64           // what assembling takes of its clearances; nil: not asked
	waits, rest [chunk]uint8        // samples whose draw is not done
	placed      [chunk]rigid        // B in S
}

// pinColumns are a pin and its holes.
type pinColumns struct {
	a, b            holeColumns
	d, stepX, stepY *column
	pressed         Press
	slab            bool
	nx, ny          float64
}

// onPoints reports whether joint i seats on measured heights.
func (k *kernel) onPoints(i int) bool {
	return k.stack.Joints[i].SeatOnPoints && len(k.parts[i].rear.points)+len(k.parts[i+1].front.points) > 0
}

// plainJoint reports whether joint i closes flush, on planes or on heights where they were measured,
// and does not lie anywhere.
func (k *kernel) plainJoint(i int) bool {
	j := &k.stack.Joints[i]
	return !(k.onPoints(i) && j.Interpolate) && j.Rules != RulesPilot && (j.Float != nil || j.Lies != LiesAny)
}

// newJointColumns lays out a plain joint, of the face in front and the one behind that meet at it.
func newJointColumns(b *columnsBuilder, k *kernel, i int, front, rear *faceColumns) *jointColumns {
	j := &k.stack.Joints[i]
	fa, fb := k.parts[i].rear, k.parts[i+1].front
	q := &jointColumns{
		a: front, b: rear, bz: rear.z, bsx: rear.sx, bsy: rear.sy, kindA: fa.kind, kindB: fb.kind, pilot: k.flush[i].pilot, lies: j.Lies, pick: -1, none: b.constant(0),
	}
	if g := j.Gasket; g != nil {
		q.gasket = &[3]*column{columnOf(b, &g.Thickness), columnOf(b, &g.Slope.X), columnOf(b, &g.Slope.Y)}
	}
	if k.onPoints(i) {
		q.points, q.bz, q.bsx, q.bsy = newPointColumns(b, k, i), newColumn(), newColumn(), newColumn()
	}
	if q.pilot && q.kindA == q.kindB {
		q.ring = columnOf(b, &j.RegisterRing.Value)
	}
	if q.pilot && j.Engagement.Given {
		q.engaged = columnOf(b, &j.Engagement.Value)
	}
	for n, h := range k.lay.pins[i] {
		pin := &j.Pins[n]
		p := pinColumns{
			a: q.a.holes[h.a], b: q.b.holes[h.b],
			d: columnOf(b, &pin.Diameter), stepX: columnOf(b, &pin.Step.X), stepY: columnOf(b, &pin.Step.Y), pressed: pin.Pressed,
		}
		if v := pin.Locates.Value; pin.Locates.Given {
			p.slab = true
			p.nx, p.ny = v.unit()
		}
		q.pins = append(q.pins, p)
	}
	if j.boltsHold(q.pilot, j.fullPins()) {
		q.room, q.bolts = columnOf(b, &j.BoltClearance.Value), j.Bolts
	}
	if f := j.Float; f != nil {
		q.float = &[3]*column{columnOf(b, &f.X), columnOf(b, &f.Y), columnOf(b, &f.Turn)}
	}
	if j.Clock != 0 {
		q.clocked = true
		q.clock[0], q.clock[1] = sineVersine(-float64(j.Clock))
	}
	q.layConstraints()
	return q
}

// faceColumns are the numbers of a meeting face as mounted.
type faceColumns struct {
	z, sx, sy *column
	cx, cy, d *column // pilot
	px, py    *column // pilot axis; nil: square to the face
	holes     []holeColumns
}

// lay sets the columns of a face as mounted.
func (f *faceColumns) lay(b *columnsBuilder, m *mountedFace) {
	f.z, f.sx, f.sy = columnOf(b, &m.p.Z), columnOf(b, &m.p.SX), columnOf(b, &m.p.SY)
	if m.pilot {
		f.d, f.cx, f.cy = columnOf(b, &m.pilotD), columnOf(b, &m.cx), columnOf(b, &m.cy)
		if !m.squared {
			f.px, f.py = columnOf(b, &m.px), columnOf(b, &m.py)
		}
	}
	for i := range m.dowels {
		d := &m.dowels[i]
		f.holes = append(f.holes, holeColumns{columnOf(b, &d.x), columnOf(b, &d.y), columnOf(b, &d.d)})
	}
}

type holeColumns struct{ x, y, d *column }

// floatRow is what is known of a float before B is laid in it.
type floatRow struct {
	target   floatset.Vec
	qq, qr   float64 // of the pins: Σ|q|² and Σ q·r at the target without a turn
	fixed    bool    // the shift is held
	straight bool    // a pilot that could lean does not
	centred  bool    // a pilot leaves room where it is centred; true without one
	draw     floatset.Pair
}

// layConstraints lists the constraints of every sample, with what is the same in all.
func (j *jointColumns) layConstraints() {
	var one []floatset.Constraint
	for range j.pilotConstraints() {
		one = append(one, floatset.Constraint{Mark: floatset.OfShift})
	}
	for k, p := range j.pins {
		one = append(one, floatset.Constraint{Mark: k, Slab: p.slab, NX: p.nx, NY: p.ny})
	}
	for range j.bolts {
		one = append(one, floatset.Constraint{Mark: boltMark})
	}
	j.thin = (&floatset.Set{Constraints: one}).Thin()
	j.each, j.stride = len(one), len(one)+1
	j.pairs = floatset.Whole(one) && j.each > j.pilotConstraints()
	j.constraints = slices.Repeat(append(one, floatset.Constraint{}), chunk)
}

// pilotConstraints is one for a pilot, two for one that is felt to lean.
func (j *jointColumns) pilotConstraints() int {
	switch {
	case !j.pilot:
		return 0
	case j.engaged == nil:
		return 1
	}
	return 2
}
