package align

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/floatset"
)

// twist is how everything behind a joint moves, in S, for one component of the joint's float: a
// shift, and a turn about an axis through a pivot, each by one unit of the component.
type twist struct{ shift, turn, pivot r3.Vec }

// twists writes how a joint moves what is behind it where the parts now are, for fx, fy and γ.
//
// Derivation: what is behind the joint is one rigid body as far as this joint goes; [seating.pose]
// shifts its registration point along the meeting plane of the part in front, and turns it about
// that plane's normal through that point, the lean of a pilot-led seat after the turn.
func (k *kernel) twists(joint int, dst *[3]twist) {
	s, a := k.seats[joint], &k.placed[joint]
	f := k.floats[joint]
	pivot := r3.Vec{X: s.q.X + f.X, Y: s.q.Y + f.Y, Z: s.q.Z + s.mx*f.X + s.my*f.Y}
	normal := s.normal
	if s.standOff > 0 {
		pivot = r3.Add(pivot, r3.Scale(s.standOff, normal))
		normal = turnBy(s.lean).rotate(normal)
	}
	dst[0] = twist{shift: a.rotate(r3.Vec{X: 1, Z: s.mx})}
	dst[1] = twist{shift: a.rotate(r3.Vec{Y: 1, Z: s.my})}
	dst[2] = twist{turn: a.rotate(normal), pivot: a.apply(pivot)}
}

// ofPoint is how a point at p moves.
func (w *twist) ofPoint(p r3.Vec) r3.Vec {
	if w.turn == (r3.Vec{}) {
		return w.shift
	}
	return r3.Add(w.shift, r3.Cross(w.turn, r3.Sub(p, w.pivot)))
}

// ofSlope is how the slope (sx, sy) of an axis turns.
func (w *twist) ofSlope(sx, sy float64) (x, y float64) {
	d := r3.Cross(w.turn, r3.Vec{X: sx, Y: sy, Z: 1})
	return d.X - sx*d.Z, d.Y - sy*d.Z
}

// begin makes deriv and values ready for n numbers that follow the floats about the floats at, with
// the parts put there.
func (o *over) begin(at []floatset.Vec, n int) {
	copy(o.from, at)
	o.put(at)
	o.circles = false
	o.deriv, o.values = dense.Resize(o.deriv, 3*len(o.loose)*n), dense.Resize(o.values, n)
	o.moves = dense.Resize(o.moves, 3*len(o.loose))
	for l, j := range o.loose {
		o.k.twists(j.joint, (*[3]twist)(o.moves[3*l:]))
	}
}

// set notes that number i follows component c of all floats by v.
func (o *over) set(i, c int, v float64) { o.deriv[3*len(o.loose)*i+c] = v }

// movesPart reports whether component c of all floats moves a part.
func (o *over) movesPart(c, part int) bool { return part > o.loose[c/3].joint }

// followCircles makes the circles' centres, x and y in turn, follow the floats about the floats at,
// with the parts put there.
func (o *over) followCircles(at []floatset.Vec) {
	k := o.k
	if o.circles && slices.Equal(at, o.from) {
		o.put(at)
		return
	}
	o.begin(at, 2*len(k.circles))
	o.circles = true
	for i := range k.circles {
		q := &k.circles[i]
		o.values[2*i], o.values[2*i+1] = q.X, q.Y
		row := o.deriv[2*i*len(o.moves) : 2*(i+1)*len(o.moves)]
		if clear(row); q.Other >= 0 {
			continue
		}
		b := k.lay.supports[q.Holder].boreAt
		p := k.centre(b)
		ahead, at := q.Z-p.Z, r3.Sub(p, k.parts[b.part].moved)
		sx, sy := k.slope(b)
		for c := range o.moves {
			if !o.movesPart(c, b.part) {
				break
			}
			v := o.moves[c].ofPoint(at)
			if ahead != 0 { // a mouth of a bush moves with the axis as well
				tx, ty := o.moves[c].ofSlope(sx, sy)
				v.X, v.Y = v.X+ahead*tx, v.Y+ahead*ty
			}
			row[c], row[len(o.moves)+c] = v.X, v.Y
		}
	}
}

// followVector makes the vector that an output measures follow the floats about the floats at.
func (o *over) followVector(r *outputAt, at []floatset.Vec) {
	k := o.k
	o.begin(at, 2)
	k.vector(r, o.values)
	ref := k.reference(r.ref)
	for c := range o.moves {
		line := o.referenceMoves(r.ref, c)
		var x, y float64
		if r.tilt {
			x, y = o.slopeMoves(r.bore, c)
			x, y = x-line.sx, y-line.sy
		} else {
			p, v := k.centre(r.bore), o.centreMoves(r.bore, c)
			lx, ly := line.at(p.Z)
			x, y = v.X-lx-ref.sx*v.Z, v.Y-ly-ref.sy*v.Z
			x, y = r.times*x, r.times*y
		}
		o.set(0, c, x)
		o.set(1, c, y)
	}
}

// centreMoves and slopeMoves are how a bore's centre and axis follow component c of all floats.
func (o *over) centreMoves(b boreAt, c int) r3.Vec {
	if !o.movesPart(c, b.part) {
		return r3.Vec{}
	}
	return o.moves[c].ofPoint(r3.Sub(o.k.centre(b), o.k.parts[b.part].moved))
}

func (o *over) slopeMoves(b boreAt, c int) (x, y float64) {
	if !o.movesPart(c, b.part) {
		return 0, 0
	}
	return o.moves[c].ofSlope(o.k.slope(b))
}

// referenceMoves is how a reference line follows component c of all floats: the derivative of
// [kernel.lineOf].
func (o *over) referenceMoves(i, c int) axisLine {
	k := o.k
	r, line := &k.lay.refs[i], k.reference(i)
	if r.axis {
		p, v := k.centre(r.bores[0]), o.centreMoves(r.bores[0], c)
		sx, sy := o.slopeMoves(r.bores[0], c)
		return axisLine{v.X - sx*p.Z - line.sx*v.Z, v.Y - sy*p.Z - line.sy*v.Z, sx, sy}
	}
	var m, mv r3.Vec
	for _, b := range r.bores {
		m, mv = r3.Add(m, k.centre(b)), r3.Add(mv, o.centreMoves(b, c))
	}
	n := 1 / float64(len(r.bores))
	m, mv = r3.Scale(n, m), r3.Scale(n, mv)
	var zz, xz, yz float64 // zz, and how zz·sx and zz·sy move with zz held back
	for _, b := range r.bores {
		d, v := r3.Sub(k.centre(b), m), r3.Sub(o.centreMoves(b, c), mv)
		zz += d.Z * d.Z
		xz += v.X*d.Z + d.X*v.Z - 2*line.sx*d.Z*v.Z
		yz += v.Y*d.Z + d.Y*v.Z - 2*line.sy*d.Z*v.Z
	}
	var a axisLine
	if zz > 0 {
		a.sx, a.sy = xz/zz, yz/zz
	}
	a.x = mv.X - a.sx*m.Z - line.sx*mv.Z
	a.y = mv.Y - a.sy*m.Z - line.sy*mv.Z
	return a
}

// followChain makes an axial chain's sum follow the floats about the floats at.
func (o *over) followChain(i int, at []floatset.Vec) {
	k := o.k
	o.begin(at, 1)
	o.values[0] = k.chain(i)
	for c := range o.moves {
		var sum float64
		for n, at := range k.lay.chains[i] {
			if at.from.part >= 0 {
				sum += k.stack.Chains[i].Links[n].Gain.Or(1) * (o.faceMoves(at.to, c) - o.faceMoves(at.from, c))
			}
		}
		o.set(0, c, sum)
	}
}

// faceMoves is how z in S, where a part's frame axis meets its face, follows component c of all
// floats.
func (o *over) faceMoves(f faceAt, c int) float64 {
	if !o.movesPart(c, f.part) {
		return 0
	}
	return o.moves[c].ofPoint(o.k.onFace(f)).Z
}
