package align

import "example.com/borestack/align/internal/dense"

// load fills the columns with samples at to at + n − 1.
func (c *columns) load(x [][]float64, at, n int) {
	for f := range c.fills {
		q := &c.fills[f]
		first := q.terms[0]
		if n == chunk && q.nominal == 0 && len(q.terms) == 1 && first.gain == 1 {
			q.dst.now = (*[chunk]float64)(x[first.source][at:])
			continue
		}
		q.dst.now = &q.dst.own
		dst := q.dst.own[:n]
		nominal := q.nominal
		for k, t := range q.terms {
			src, gain := x[t.source][at:at+n], t.gain
			if k == 0 {
				for i := range dst {
					dst[i] = nominal + gain*src[i]
				}
				continue
			}
			for i := range dst {
				dst[i] += gain * src[i]
			}
		}
	}
}

// place sets where everything lies; samples that are not plain are marked hard.
func (c *columns) place(x [][]float64, at, n int) {
	clear(c.hard[:n])
	var from *[chunk]rigid
	for _, j := range c.joints {
		var pick *picks
		if j.pick >= 0 {
			pick = &picks{}
			for c := range pick {
				pick[c] = x[j.pick+c][at : at+n]
			}
		}
		if j.points != nil {
			j.seatOnPoints(n, &c.hard)
		}
		j.seat(n)
		j.settle(n, from, pick, &c.hard)
		j.place(n, from)
		from = &j.placed
	}
	for p := range c.bores {
		for i := range c.bores[p] {
			if q := &c.bores[p][i]; q.wanted {
				q.place(n, c.placed(p))
			}
		}
	}
	for i := range c.lines {
		c.layLine(i, n)
	}
}

// placed is where part p lies in S; nil for the base, which is S.
func (c *columns) placed(p int) *[chunk]rigid {
	if p == 0 {
		return nil
	}
	return &c.joints[p-1].placed
}

// place sets a bore's centre, and its axis where it is wanted, in S.
func (q *boreColumns) place(n int, in *[chunk]rigid) {
	cx, cy, cz, sx, sy := q.c[0].now, q.c[1].now, q.c[2].now, q.sx.now, q.sy.now
	mx, my, mz := q.moved.X, q.moved.Y, q.moved.Z
	if in == nil {
		for i := range n {
			at := &q.at[i]
			at.x, at.y, at.z, at.sx, at.sy = cx[i]+mx, cy[i]+my, cz[i]+mz, sx[i], sy[i]
		}
		return
	}
	for i := range n {
		p, at := &in[i], &q.at[i]
		x, y, z := p.rotate(cx[i], cy[i], cz[i])
		at.x, at.y, at.z = x+p.t[0]+mx, y+p.t[1]+my, z+p.t[2]+mz
	}
	if !q.tilts {
		return
	}
	for i := range n {
		at := &q.at[i]
		x, y, z := in[i].rotate(sx[i], sy[i], 1)
		z = 1 / z
		at.sx, at.sy = x*z, y*z
	}
}

// layLine sets reference line r.
func (c *columns) layLine(r, n int) {
	ref, line := &c.k.lay.refs[r], &c.lines[r]
	first := c.bore(ref.bores[0])
	if ref.axis {
		for i := range n {
			line[i] = first.at[i].line()
		}
		return
	}
	if len(ref.bores) == 2 {
		second := c.bore(ref.bores[1])
		for i := range n {
			line[i] = lineOfTwo(&first.at[i], &second.at[i])
		}
		return
	}
	c.list = dense.Resize(c.list, len(ref.bores))
	for i := range n {
		for k, at := range ref.bores {
			c.list[k] = c.bore(at).at[i]
		}
		line[i] = bestLine(c.list)
	}
}

func (c *columns) bore(at boreAt) *boreColumns { return &c.bores[at.part][at.bore] }

// setCircles puts the kernel's circles where sample i has them.
func (c *columns) setCircles(i int) {
	n := 0
	for s, room := range c.rooms {
		at := &c.bore(c.k.lay.supports[s].boreAt).at[i]
		n = c.k.setSupport(n, s, at, room.now[i]+c.grows[s]-c.runout[s].now[i])
	}
	for s, clearance := range c.pocket {
		n = c.k.setPocket(n, s, clearance.now[i])
	}
}
