package advise_test

import (
	"fmt"
	"math"

	. "example.com/borestack/tolerance"

	"example.com/borestack/align"
)

// The literal fitter, at the box: shims, dowels and pushes.

// shim puts a shim in a joint, beside the gasket or in its place.
func (w *fitter) shim(o *order) error {
	k, err := w.between(o.part, o.behind)
	if err != nil {
		return err
	}
	j := &w.s.Joints[k]
	g := align.Gasket{}
	switch {
	case (j.Gasket != nil) != (o.gasket != ""):
		w.fault(o, "a gasket is there: %v; the order says %q", j.Gasket != nil, o.gasket)
	case o.gasket == "beside":
		g = *j.Gasket
	}
	add := level{z: o.amount.v}
	if o.kind == "Tapered shim" {
		var marks []align.Vec3
		for _, r := range o.rows {
			u := toClock(r.tail.v, r.radius.v)
			marks = append(marks, align.Vec3{X: Length(u.x), Y: Length(u.y), Z: Length(r.finish.v)})
			if r.finish.v < r.from.v-1e-9 || r.finish.v > r.to.v+1e-9 {
				w.fault(o, "shim %.4f from %.4f to %.4f", r.finish.v, r.from.v, r.to.v)
			}
		}
		if len(marks) < 3 {
			return fmt.Errorf("no table of marks")
		}
		z, x, y := leastSquares(marks)
		add = level{z, flat{x, y}}
		said := level{(o.amount.v + o.opposite.v) / 2, toClock(o.at.v, o.rise.v/o.across.v)}
		for _, m := range marks {
			if at := (flat{float64(m.X), float64(m.Y)}); math.Abs(add.at(at)-said.at(at)) > o.amount.half+o.rise.half+2e-3 {
				w.fault(o, "at %.1f° the table has %.4f, the order %.4f", toDegrees(at), add.at(at), said.at(at))
				break
			}
		}
		if off := apart(w.inBox(o.part, o.at.v), o.inBox.v); off > seen && o.rise.v > 0 {
			w.fault(o, "its thickest side stands at %.1f°, not %.1f°", w.inBox(o.part, o.at.v)*180/math.Pi, o.inBox.v*180/math.Pi)
		}
	}
	add.s = lookAt(&w.s, k).front.mirror(add.s) // by own marks: end for end they are mirrored
	g.Thickness += Length(add.z)
	g.Slope.X += add.s.x
	g.Slope.Y += add.s.y
	j.Gasket = &g
	return nil
}

// dowels puts offset dowels in: as if the holes in front were where the rear ends are.
func (w *fitter) dowels(o *order) error {
	k, err := w.between(o.part, o.behind)
	if err != nil {
		return err
	}
	j := lookAt(&w.s, k)
	step := j.front.mirror(toClock(o.at.v-j.stands, o.amount.v))
	if len(o.pins) != len(w.s.Joints[k].Pins) {
		w.fault(o, "dowels %v of %d", o.pins, len(w.s.Joints[k].Pins))
	}
	for _, name := range o.pins {
		h := j.front.hole(name)
		if h == nil {
			return fmt.Errorf("no dowel %q", name)
		}
		h.Centre = flatOf(h.Centre).plus(step).vec()
	}
	for i := range w.s.Joints[k].Pins {
		w.s.Joints[k].Pins[i].Step = align.Vec2{}
	}
	return nil
}

// onDials finds the zero of two dials and compares the travel: in the front part's frame, the push that the dials read, and that of their zero.
func (w *fitter) onDials(o *order, h *held, j *joint) (push, zero flat, err error) {
	mid, travel, err := j.middle()
	if err != nil {
		return push, zero, err
	}
	for i, t := range travel {
		if math.Abs(t-h.travel[i].v) > h.travel[i].half+2e-5 {
			w.fault(o, "it travels %.5f along dial %d, not %.5f", t, i, h.travel[i].v)
		}
	}
	return mid.plus(flat{h.at[0].v, h.at[1].v}).clockwise(-j.stands), mid.clockwise(-j.stands), nil
}

func (w *fitter) jointNamed(name string) (int, error) {
	for k := range w.s.Joints {
		if w.s.JointName(k) == name {
			return k, nil
		}
	}
	return 0, fmt.Errorf("no joint %q", name)
}

// stopped reports whether a pilot does not let a part go there, by more than the dials' last digits.
func (j *joint) stopped(push flat, h *held) bool {
	return j.piloted && !j.squeezed() && math.Max(push.size(), push.plus(j.lean).size()) > j.room+h.at[0].half+h.at[1].half+1e-6
}

// redowel holds the part where the dials say, and reams it there.
func (w *fitter) redowel(o *order) error {
	k, err := w.jointNamed(o.place)
	if err != nil {
		return err
	}
	h := o.holds[0]
	j := lookAt(&w.s, k)
	if j.front.p.Name != o.part || j.behind.p.Name != o.behind || len(o.pins) != len(w.s.Joints[k].Pins) {
		w.fault(o, "%s on %s with %v", o.behind, o.part, o.pins)
	}
	push, zero, err := w.onDials(o, h, j)
	if err != nil {
		return err
	}
	if j.stopped(push, h) {
		w.fault(o, "the pilot stops it before the dials read that")
	}
	lo, hi, ok := j.turnsAt(zero)
	if !ok { // nowhere at the middle of both dials with its dowels in: as it lay
		a, err := w.s.Solve()
		if err != nil {
			return err
		}
		lo, hi = float64(a.Joints[k].Float.Turn), float64(a.Joints[k].Float.Turn)
	}
	turn := (lo + hi) / 2
	for i := range w.s.Joints[k].Pins {
		pin := &w.s.Joints[k].Pins[i]
		front, behind := j.front.hole(pin.Dowel), j.behind.hole(pin.Dowel)
		behind.Centre = j.through(j.front.mirror(flatOf(front.Centre)), push, turn).vec()
		pin.Diameter, pin.Step = max(pin.Diameter, front.Diameter, behind.Diameter), align.Vec2{}
		if o.pin != nil {
			pin.Diameter = max(pin.Diameter, Length(o.pin.v))
		}
		front.Diameter, behind.Diameter = pin.Diameter+1e-3, pin.Diameter+1e-3
	}
	w.s.Joints[k].Float = &align.Float{X: Length(push.x), Y: Length(push.y), Turn: Angle(turn)}
	return nil
}

// push holds a joint where the dials say, and turned as it says.
func (w *fitter) push(o *order, h *held) error {
	k, err := w.jointNamed(h.joint)
	if err != nil {
		return err
	}
	j := lookAt(&w.s, k)
	if j.behind.p.Name != h.part {
		w.fault(o, "dials on %s, which is not behind joint %s", h.part, h.joint)
	}
	push, _, err := w.onDials(o, h, j)
	if err != nil {
		return err
	}
	if j.stopped(push, h) {
		w.fault(o, "joint %s: the pilot stops it before the dials read that", h.joint)
	}
	for i := range j.pins { // what the dials do not show, the pins give
		j.pins[i].room += h.at[0].half + h.at[1].half
	}
	lo, hi, ok := j.turnsAt(push)
	if !ok {
		w.fault(o, "joint %s: the dowels stop it before the dials read that", h.joint)
		return nil
	}
	turn := (lo + hi) / 2
	if h.turned.v != 0 {
		turn += h.turned.v / h.radius.v
	}
	w.s.Joints[k].Float = &align.Float{X: Length(push.x), Y: Length(push.y), Turn: Angle(turn)}
	return nil
}
