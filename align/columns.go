package align

import (
	"slices"

	"example.com/borestack/align/internal/seat"
)

// A plan works out its samples side by side where it can: each number that a source moves is a column, and seats, places and outputs are worked out over a few columns at a time. That goes for plain boxes: joints on planes that close flush and are not looked at over their float, with outputs that follow from places. Other boxes, and the single samples in which a register strains, go to the kernel. Both use the formulas of seat.go, jointfloat.go and kernel.go, with rotations as matrices here and as quaternions there; TestColumns_sameAsKernel holds them together.

// chunk is how many samples are side by side: enough to hide the cost of going from number to number, few enough to stay in the caches.
const chunk = 128

// A column is one number in every sample of a chunk. It points at its own values, or, where these are a source's deviations as they are, at these.
type column struct {
	now *[chunk]float64
	own [chunk]float64
}

// fill sets a column to the nominal value plus what the sources add, brought to temperature and turned with its part.
type fill struct {
	dst     *column
	nominal float64
	terms   []term
}

// rigid carries coordinates in one frame to another: a rotation matrix, rows first, and a shift in mm.
type rigid struct {
	r [9]float64
	t [3]float64
}

func (p *rigid) rotate(x, y, z float64) (float64, float64, float64) {
	return p.r[0]*x + p.r[1]*y + p.r[2]*z, p.r[3]*x + p.r[4]*y + p.r[5]*z, p.r[6]*x + p.r[7]*y + p.r[8]*z
}

// faceColumns are the numbers of a meeting face as mounted.
type faceColumns struct {
	z, sx, sy *column
	cx, cy, d *column // pilot
	px, py    *column // pilot axis; nil: square to the face
	holes     []holeColumns
}

type holeColumns struct{ x, y, d *column }

// boreColumns are a bore's numbers as mounted, and where it lies.
type boreColumns struct {
	c             [3]*column
	sx, sy        *column
	moved         [3]float64
	wanted, tilts bool
	at            [chunk]axisAt
}

// axisAt is a bore's centre in S and, where it is wanted, its axis.
type axisAt struct{ x, y, z, sx, sy float64 }

// columns evaluate a plan's plain samples.
type columns struct {
	k      *kernel
	fills  []fill
	joints []*jointColumns
	bores  [][]boreColumns  // per part
	faces  [][2]faceColumns // per part: its front and rear as measured
	rooms  []*column        // running clearance of each support before its growth,
	runout []*column
	grows  []float64 // and by how much it grows
	pocket []*column
	chains [][]*column // lengths of the links that are plain numbers
	lines  [][chunk]axisLine
	hard   [chunk]bool // samples for the kernel
}

// columnsBuilder gives numbers their columns.
type columnsBuilder struct {
	slots []slot
	used  []bool
	fills []fill
	same  map[float64]*column // of numbers that nothing moves
}

// constant is the column of a number that nothing moves.
func (b *columnsBuilder) constant(v float64) *column {
	if c, ok := b.same[v]; ok {
		return c
	}
	c := newColumn()
	for i := range c.own {
		c.own[i] = v
	}
	b.same[v] = c
	return c
}

func newColumn() *column {
	c := &column{}
	c.now = &c.own
	return c
}

// columnOf is the column of scale times the number at p.
func columnOf[T ~float64](b *columnsBuilder, p *T, scale float64) *column {
	at := slices.IndexFunc(b.slots, func(s slot) bool { return s.at == any(p) })
	if at < 0 {
		return b.constant(scale * float64(*p))
	}
	b.used[at] = true
	f := fill{dst: newColumn(), nominal: scale * float64(*p)}
	for _, t := range b.slots[at].terms {
		f.terms = append(f.terms, term{t.source, scale * t.gain})
	}
	b.fills = append(b.fills, f)
	return f.dst
}

// newColumns lays out the columns of an evaluator whose kernel holds the stack without deviations; nil when the box or its outputs are not plain.
func newColumns(e *Evaluator) *columns {
	k := e.k
	for i := range k.stack.Joints {
		if !k.plainJoint(i) {
			return nil
		}
	}
	for i := range e.outputs {
		if !e.outputs[i].plain() {
			return nil
		}
	}
	b := &columnsBuilder{slots: e.slots, used: make([]bool, len(e.slots)), same: map[float64]*column{}}
	c := &columns{k: k}
	for i := range k.stack.Parts {
		if !c.addPart(b, i) {
			return nil
		}
	}
	drawn := e.first
	for i := range k.stack.Joints {
		j := newJointColumns(b, c, i)
		if slices.Contains(e.drawn, i) {
			j.pick = drawn
			drawn++
		}
		c.joints = append(c.joints, j)
	}
	for i, at := range k.lay.supports {
		sup := k.support(i)
		c.rooms = append(c.rooms, columnOf(b, &sup.Clearance, 1))
		c.runout = append(c.runout, columnOf(b, &sup.Runout, 1))
		warm, _ := k.clearance(i)
		c.grows = append(c.grows, warm-float64(sup.Clearance))
		c.want(at.boreAt, sup.Kind == Bush)
	}
	for i := range k.stack.Pockets {
		c.pocket = append(c.pocket, columnOf(b, &k.stack.Pockets[i].Clearance, 1))
	}
	for i := range k.stack.Chains {
		var of []*column
		for n := range k.stack.Chains[i].Links {
			of = append(of, columnOf(b, &k.stack.Chains[i].Links[n].Length, 1))
		}
		c.chains = append(c.chains, of)
	}
	for i := range k.lay.refs {
		for _, at := range k.lay.refs[i].bores {
			c.want(at, k.lay.refs[i].axis)
		}
	}
	c.lines = make([][chunk]axisLine, len(k.lay.refs))
	for i := range e.outputs {
		switch r := &e.outputs[i]; r.What {
		case OffsetSize, TIRSize, OffsetX, OffsetY:
			c.want(r.bore, false)
		case TiltSize, TiltX, TiltY:
			c.want(r.bore, true)
		}
	}
	if slices.Contains(b.used, false) { // a source moves what these formulas take as still
		return nil
	}
	c.fills = b.fills
	return c
}

// plain reports whether places alone give an output.
func (r *outputAt) plain() bool {
	switch r.What {
	case OffsetSize, TIRSize, OffsetX, OffsetY, TiltSize, TiltX, TiltY, Margin, Use, ChainLength, TurnAngle, Assembles, GapSize, RunningClearance:
		return true
	}
	return false
}

// want notes that a bore's centre is needed, and whether its axis is.
func (c *columns) want(at boreAt, tilts bool) {
	q := &c.bores[at.part][at.bore]
	q.wanted, q.tilts = true, q.tilts || tilts
}

// addPart lays out part i's bores and faces; false when a dial swept them and something of the part moves.
func (c *columns) addPart(b *columnsBuilder, i int) bool {
	p, m := &c.k.stack.Parts[i], &c.k.parts[i]
	still := c.k.still.parts[i]
	grown, turn := p.growth(), 1.0
	if p.Turned {
		turn = -1
	}
	bores := make([]boreColumns, len(p.Bores))
	for n := range p.Bores {
		q, at := &p.Bores[n], &m.bores[n]
		bores[n].moved = [3]float64{m.moved.X, m.moved.Y, m.moved.Z}
		switch {
		case q.Sweep == nil:
			bores[n].c = [3]*column{columnOf(b, &q.Centre.X, turn*grown), columnOf(b, &q.Centre.Y, grown), columnOf(b, &q.Centre.Z, turn*grown)}
			bores[n].sx, bores[n].sy = columnOf(b, &q.Slope.X, 1), columnOf(b, &q.Slope.Y, turn)
		case still:
			bores[n].c = [3]*column{b.constant(at.c.X), b.constant(at.c.Y), b.constant(at.c.Z)}
			bores[n].sx, bores[n].sy = b.constant(at.sx), b.constant(at.sy)
		default:
			return false
		}
	}
	c.bores = append(c.bores, bores)
	var faces [2]faceColumns
	for side, f := range [2]*Face{p.Front, p.Rear} {
		if f == nil {
			faces[side].plane(b, seat.Plane{})
			continue
		}
		if !still && (f.Sweep != nil || f.Pilot != nil && f.Pilot.Sweep != nil) {
			return false
		}
		faces[side].lay(b, f, &m.faces[side], turn, grown)
	}
	c.faces = append(c.faces, faces)
	return true
}

// lay sets the columns of a face that is mounted as m: what readings or points gave stays as it is.
func (f *faceColumns) lay(b *columnsBuilder, q *Face, m *mountedFace, turn, grown float64) {
	if len(q.Points) > 0 || q.Thickness != nil || q.Sweep != nil {
		f.plane(b, m.p)
	} else {
		f.z, f.sx, f.sy = columnOf(b, &q.Z, turn*grown), columnOf(b, &q.Slope.X, 1), columnOf(b, &q.Slope.Y, turn)
	}
	if p := q.Pilot; p != nil {
		f.d = columnOf(b, &p.Diameter, grown)
		if p.Sweep != nil {
			f.cx, f.cy = b.constant(m.cx), b.constant(m.cy)
		} else {
			f.cx, f.cy = columnOf(b, &p.Centre.X, turn*grown), columnOf(b, &p.Centre.Y, grown)
		}
		if !m.squared {
			f.px, f.py = columnOf(b, &p.Slope.Value.X, 1), columnOf(b, &p.Slope.Value.Y, turn)
		}
	}
	for i := range q.Dowels {
		d := &q.Dowels[i]
		f.holes = append(f.holes, holeColumns{columnOf(b, &d.Centre.X, turn*grown), columnOf(b, &d.Centre.Y, grown), columnOf(b, &d.Diameter, grown)})
	}
}

// plane sets a plane that nothing moves.
func (f *faceColumns) plane(b *columnsBuilder, p seat.Plane) {
	f.z, f.sx, f.sy = b.constant(p.Z), b.constant(p.SX), b.constant(p.SY)
}
