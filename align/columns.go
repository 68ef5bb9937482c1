package align

import (
	"reflect"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// A plan works out its samples side by side where it can: each number that a source moves is a column, and seats, places and outputs are worked out over a few columns at a time. That goes for plain boxes: joints on planes that close flush and are not looked at over their float, with outputs that follow from places. Other boxes, and the single samples in which a register strains, go to the kernel. Both use the formulas of seat.go, jointfloat.go and kernel.go, with rotations as matrices here and as quaternions there; TestColumns_sameAsKernel holds them together.

// chunk is how many samples are side by side: enough to hide the cost of going from number to number, few enough to stay in the caches.
const chunk = 128

// A column is one number in every sample of a chunk. It points at its own values, or, where these are a source's deviations as they are, at these.
type column struct {
	now *[chunk]float64
	own [chunk]float64
}

// fill sets a column to the nominal value plus what the sources add.
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
	moved         r3.Vec
	wanted, tilts bool
	at            [chunk]axisAt
}

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
	list   []axisAt    // of the bores of one line in one sample
	hard   [chunk]bool // samples for the kernel
}

// follows is a number that follows one slot in proportion: it is scale times the slot's number.
type follows struct {
	slot  int
	scale float64
}

// columnsBuilder gives numbers their columns. It knows those that sources move, in the stack or as
// mounted, by their address.
type columnsBuilder struct {
	slots []slot
	moved map[uintptr]follows
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

// columnOf is the column of the number at p, which holds its nominal value.
func columnOf[T ~float64](b *columnsBuilder, p *T) *column {
	at, moves := b.moved[reflect.ValueOf(p).Pointer()]
	if !moves {
		return b.constant(float64(*p))
	}
	b.used[at.slot] = true
	f := fill{dst: newColumn(), nominal: float64(*p)}
	for _, t := range b.slots[at.slot].terms {
		f.terms = append(f.terms, term{t.source, at.scale * t.gain})
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
	b := &columnsBuilder{slots: e.slots, moved: map[uintptr]follows{}, used: make([]bool, len(e.slots)), same: map[float64]*column{}}
	for i := range b.slots {
		b.moved[b.slots[i].number.Addr().Pointer()] = follows{i, 1}
	}
	c := &columns{k: k}
	for i := range k.stack.Parts {
		if !k.still.parts[i] && !b.mount(&k.stack.Parts[i], &k.parts[i]) {
			return nil
		}
		c.addPart(b, &k.parts[i])
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
		c.rooms = append(c.rooms, columnOf(b, &sup.Clearance))
		c.runout = append(c.runout, columnOf(b, &sup.Runout))
		warm, _ := k.clearance(i)
		c.grows = append(c.grows, warm-float64(sup.Clearance))
		c.want(at.boreAt, sup.Kind == Bush)
	}
	for i := range k.stack.Pockets {
		c.pocket = append(c.pocket, columnOf(b, &k.stack.Pockets[i].Clearance))
	}
	for i := range k.stack.Chains {
		var of []*column
		for n := range k.stack.Chains[i].Links {
			of = append(of, columnOf(b, &k.stack.Chains[i].Links[n].Length))
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

// addPart lays out a part's bores and faces as mounted.
func (c *columns) addPart(b *columnsBuilder, m *mountedPart) {
	bores := make([]boreColumns, len(m.bores))
	for n := range m.bores {
		at, q := &m.bores[n], &bores[n]
		q.c = [3]*column{columnOf(b, &at.c.X), columnOf(b, &at.c.Y), columnOf(b, &at.c.Z)}
		q.sx, q.sy = columnOf(b, &at.sx), columnOf(b, &at.sy)
		q.moved = m.moved
	}
	c.bores = append(c.bores, bores)
	var faces [2]faceColumns
	for side := range faces {
		faces[side].lay(b, &m.faces[side])
	}
	c.faces = append(c.faces, faces)
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
