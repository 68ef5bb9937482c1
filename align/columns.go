package align

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

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
	chains [][]*column   // lengths of the links that are plain numbers
	rounds [][][]*column // per part: its readings of thickness, where they are asked for and move
	lines  [][chunk]axisLine
	list   []axisAt    // of the bores of one line in one sample
	hard   [chunk]bool // samples for the kernel
}

// newColumns lays out the columns of outputs over a kernel that holds the stack without deviations:
// of the numbers that slots move, and of floats drawn from the columns of samples from first on. It
// returns nil when the box is not plain.
func newColumns(k *kernel, slots []slot, outputs []outputAt, drawn []int, first int) *columns {
	for i := range k.stack.Joints {
		if !k.plainJoint(i) {
			return nil
		}
	}
	b := &columnsBuilder{slots: slots, moved: map[uintptr][]follows{}, used: make([]bool, len(slots)), same: map[float64]*column{}}
	for i := range slots {
		b.moved[slots[i].number.Addr().Pointer()] = []follows{{i, 1}}
	}
	c := &columns{k: k, lines: make([][chunk]axisLine, len(k.lay.refs)), rounds: make([][][]*column, len(k.stack.Parts))}
	for i := range k.stack.Parts {
		if !k.still.parts[i] && !b.mount(&k.stack.Parts[i], &k.parts[i]) {
			return nil
		}
		c.addPart(b, &k.parts[i])
	}
	for i := range k.stack.Joints {
		j := newJointColumns(b, k, i, c.face(i, k.parts[i].rear), c.face(i+1, k.parts[i+1].front))
		if n := slices.Index(drawn, i); n >= 0 {
			j.pick = first + FloatColumns*n
		}
		c.joints = append(c.joints, j)
	}
	c.addRooms(b)
	c.addChains(b)
	if !c.wantFor(b, outputs) || slices.Contains(b.used, false) { // a source moves what these formulas take as still
		return nil
	}
	c.fills = b.fills
	return c
}

// face are the columns of one of a part's mounted faces.
func (c *columns) face(part int, f *mountedFace) *faceColumns {
	side := 0
	if f == &c.k.parts[part].faces[1] {
		side = 1
	}
	return &c.faces[part][side]
}

// wantFor notes which bores references and outputs need, and lays out the readings that they do; false where an
// output is not plain: thicknesses are beside nothing else but whether the box assembles, so that what is beside
// them keeps its last digits.
func (c *columns) wantFor(b *columnsBuilder, outputs []outputAt) bool {
	other := slices.ContainsFunc(outputs, func(r outputAt) bool { return r.What != ThicknessVariation && r.What != Assembles })
	for _, ref := range c.k.lay.refs {
		for _, at := range ref.bores {
			c.want(at, ref.axis)
		}
	}
	for i := range outputs {
		switch r := &outputs[i]; {
		case r.ofBore():
			c.want(r.bore, r.tilt)
		case r.What == ThicknessVariation && !c.k.still.parts[r.index]:
			if other {
				return false
			}
			c.rounds[r.index] = nil
			for _, v := range c.k.stack.Parts[r.index].Rear.Thickness.Values {
				var of []*column
				for n := range v {
					of = append(of, columnOf(b, &v[n]))
				}
				c.rounds[r.index] = append(c.rounds[r.index], of)
			}
		case r.What == AssemblyUse:
			c.joints[r.index].use = make([]float64, chunk)
		case r.What == InPlane || r.What == OutOfPlane:
			for _, axis := range c.k.lay.meshes[r.index] {
				c.want(axis[0], false)
				c.want(axis[1], false)
			}
		}
	}
	return true
}

// addRooms lays out what is left of the clearances of supports and pockets.
func (c *columns) addRooms(b *columnsBuilder) {
	k := c.k
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
}

// addChains lays out the lengths of links.
func (c *columns) addChains(b *columnsBuilder) {
	for i := range c.k.stack.Chains {
		var of []*column
		for n := range c.k.stack.Chains[i].Links {
			of = append(of, columnOf(b, &c.k.stack.Chains[i].Links[n].Length))
		}
		c.chains = append(c.chains, of)
	}
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
