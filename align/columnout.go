package align

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/internal/dense"
)

// evaluate sets dst[·][at+i] for n samples; those that are not plain are marked hard, and their
// outputs mean nothing.
func (c *columns) evaluate(dst, x [][]float64, outputs []outputAt, at, n int) {
	c.load(x, at, n)
	c.place(x, at, n)
	c.circles(dst, outputs, at, n)
	for o := range outputs {
		y := dst[o][at : at+n]
		c.output(y, &outputs[o])
		if s := floats.Sum(y); s-s == 0 {
			continue
		}
		for i, v := range y {
			if v != v { // the kernel says what is wrong
				c.hard[i] = true
			}
		}
	}
}

// output sets one output of as many samples as y has.
func (c *columns) output(y []float64, r *outputAt) {
	switch r.What {
	case OffsetSize, TIRSize, OffsetX, OffsetY:
		c.offset(y, r)
	case TiltSize, TiltX, TiltY:
		c.tilt(y, r)
	case ChainLength:
		c.chain(y, r.index)
	case TurnAngle:
		for i := range y {
			y[i] = -c.joints[r.index].at[i].G
		}
	case Assembles:
		fillWith(y, 1)
		for n, j := range c.joints {
			if r.index < 0 || r.index == n {
				j.refuse(y)
			}
		}
	case GapSize:
		if p := c.joints[r.index].points; p != nil {
			copy(y, p.gap[:])
		} else {
			fillWith(y, 0)
		}
	case RunningClearance:
		for i := range y {
			y[i] = c.rooms[r.index].now[i] + c.grows[r.index]
		}
	case InPlane, OutOfPlane:
		c.mesh(y, r)
	case ThicknessVariation: // of readings that nothing moves
		v, _ := c.k.outputValue(r)
		fillWith(y, v)
	}
}

// refuse sets 0 where the joint does not assemble.
func (j *jointColumns) refuse(y []float64) {
	for i := range y {
		if j.lacks[i] {
			y[i] = 0
		}
	}
}

func fillWith(y []float64, v float64) {
	for i := range y {
		y[i] = v
	}
}

func (c *columns) offset(y []float64, r *outputAt) {
	at, line := &c.bore(r.bore).at, &c.lines[r.ref]
	switch r.What {
	case OffsetX:
		for i := range y {
			y[i], _ = line[i].offset(&at[i])
		}
	case OffsetY:
		for i := range y {
			_, y[i] = line[i].offset(&at[i])
		}
	default:
		scale := r.scale()
		for i := range y {
			y[i] = scale * dense.Length(line[i].offset(&at[i]))
		}
	}
}

func (c *columns) tilt(y []float64, r *outputAt) {
	at, line := &c.bore(r.bore).at, &c.lines[r.ref]
	switch r.What {
	case TiltX:
		for i := range y {
			y[i], _ = line[i].tilt(&at[i])
		}
	case TiltY:
		for i := range y {
			_, y[i] = line[i].tilt(&at[i])
		}
	default:
		for i := range y {
			y[i] = dense.Length(line[i].tilt(&at[i]))
		}
	}
}

// chain sets the sums of axial chain k.
func (c *columns) chain(y []float64, k int) {
	fillWith(y, 0)
	for n := range c.chains[k] {
		gain := c.k.stack.Chains[k].Links[n].Gain.Or(1)
		at := c.k.lay.chains[k][n]
		if at.from.part < 0 {
			for i := range y {
				y[i] += gain * c.chains[k][n].now[i]
			}
			continue
		}
		c.addFace(y, at.to, gain)
		c.addFace(y, at.from, -gain)
	}
}

// addFace adds gain times the z at which a part's frame axis meets its face.
func (c *columns) addFace(y []float64, f faceAt, gain float64) {
	z, in := c.faces[f.part][f.side()].z.now, c.placed(f.part)
	for i := range y {
		if in == nil {
			y[i] += gain * z[i]
		} else {
			y[i] += gain * (in[i].r[8]*z[i] + in[i].t[2])
		}
	}
}

// ofCircles reports whether an output is worked out from a sample's circles.
func (r *outputAt) ofCircles() bool {
	return r.What == Margin || r.What == Use || r.What == SideForce
}

// circles sets the outputs of circles, each sample's given to the kernel once for all.
func (c *columns) circles(dst [][]float64, outputs []outputAt, at, n int) {
	if !slices.ContainsFunc(outputs, func(r outputAt) bool { return r.ofCircles() }) {
		return
	}
	for i := range n {
		if !c.hard[i] {
			c.setCircles(i)
		}
		for o := range outputs {
			if !outputs[o].ofCircles() {
				continue
			}
			v, err := math.NaN(), error(nil)
			if !c.hard[i] {
				v, err = c.k.outputValue(&outputs[o])
			}
			if err != nil {
				v = math.NaN()
			}
			dst[o][at+i] = v
		}
	}
}

// mesh sets a deviation of mesh k's axes.
func (c *columns) mesh(y []float64, r *outputAt) {
	for i := range y {
		var at [2][2]r3.Vec
		for n, axis := range c.k.lay.meshes[r.index] {
			for m, b := range axis {
				q := &c.bore(b).at[i]
				at[n][m] = r3.Vec{X: q.x, Y: q.y, Z: q.z}
			}
		}
		g, err := c.k.meshAt(r.index, &at)
		if y[i] = g.deviation(r.What); err != nil {
			y[i] = math.NaN()
		}
	}
}
