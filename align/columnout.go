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
		if r := &outputs[o]; r.column != nil {
			r.column(c, y, r)
		}
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

func (c *columns) turn(y []float64, r *outputAt) {
	for i := range y {
		y[i] = -c.joints[r.index].at[i].G
	}
}

func (c *columns) gap(y []float64, r *outputAt) {
	if p := c.joints[r.index].points; p != nil {
		copy(y, p.gap[:])
		return
	}
	fillWith(y, 0)
}

func (c *columns) clearance(y []float64, r *outputAt) {
	for i := range y {
		y[i] = c.rooms[r.index].now[i] + c.grows[r.index]
	}
}

// thickness sets how far a part's mean readings at its stations differ.
func (c *columns) thickness(y []float64, r *outputAt) {
	if c.rounds[r.index] == nil { // nothing moves them
		v, _ := c.k.outputValue(r)
		fillWith(y, v)
		return
	}
	for i := range y {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, station := range c.rounds[r.index] {
			if len(station) == 0 {
				continue
			}
			var sum float64
			for _, q := range station {
				sum += q.now[i]
			}
			mean := sum / float64(len(station))
			lo, hi = math.Min(lo, mean), math.Max(hi, mean)
		}
		y[i] = hi - lo
	}
}

// assembles sets 1 where the joint asked for, or every one, assembles, and 0 where not.
func (c *columns) assembles(y []float64, r *outputAt) {
	fillWith(y, 1)
	for n, j := range c.joints {
		for i := range y {
			if (r.index < 0 || r.index == n) && j.lacks[i] {
				y[i] = 0
			}
		}
	}
}

func (c *columns) assemblyUse(y []float64, r *outputAt) { copy(y, c.joints[r.index].use) }

func fillWith(y []float64, v float64) {
	for i := range y {
		y[i] = v
	}
}

// ofBore sets the length, or a component, of a bore's offset or tilt from a reference.
func (c *columns) ofBore(y []float64, r *outputAt) {
	at, line := &c.bore(r.bore).at, &c.lines[r.ref]
	times := r.times
	switch {
	case r.component > 0:
		for i := range y {
			v := [2]float64{}
			if v[0], v[1] = line[i].offset(&at[i]); r.tilt {
				v[0], v[1] = line[i].tilt(&at[i])
			}
			y[i] = v[r.component-1]
		}
	case r.tilt:
		for i := range y {
			y[i] = times * dense.Length(line[i].tilt(&at[i]))
		}
	default:
		for i := range y {
			y[i] = times * dense.Length(line[i].offset(&at[i]))
		}
	}
}

// chain sets the sums of an axial chain.
func (c *columns) chain(y []float64, r *outputAt) {
	fillWith(y, 0)
	for n, length := range c.chains[r.index] {
		gain := c.k.stack.Chains[r.index].Links[n].Gain.Or(1)
		at := c.k.lay.chains[r.index][n]
		if at.from.part < 0 {
			for i := range y {
				y[i] += gain * length.now[i]
			}
			continue
		}
		c.addFace(y, at.to, gain)
		c.addFace(y, at.from, -gain)
	}
}

// addFace adds gain times the z at which a part's frame axis meets its face.
func (c *columns) addFace(y []float64, f faceAt, gain float64) {
	z, in := c.faces[f.part][f.side].z.now, c.placed(f.part)
	for i := range y {
		if in == nil {
			y[i] += gain * z[i]
		} else {
			y[i] += gain * (in[i].r[8]*z[i] + in[i].t[2])
		}
	}
}

// circles sets the outputs of circles, each sample's given to the kernel once for all.
func (c *columns) circles(dst [][]float64, outputs []outputAt, at, n int) {
	if !slices.ContainsFunc(outputs, func(r outputAt) bool { return r.column == nil }) {
		return
	}
	for i := range n {
		if !c.hard[i] {
			c.setCircles(i)
		}
		for o := range outputs {
			if outputs[o].column != nil {
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
