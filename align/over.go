package align

import (
	"math"
	"slices"

	"example.com/borestack/align/internal/conic"
	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/align/internal/shaftline"
	"example.com/borestack/align/internal/tol"
	"example.com/borestack/fault"
)

// Steps of the central differences by which results follow the floats: the poses are smooth, so a
// step of a tenth of a micrometre, or of a tenth of a micrometre a metre, leaves about nine digits.
const (
	shiftStep = 1e-4 // mm
	turnStep  = 1e-6 // rad
)

// looseJoint is a joint that may lie anywhere in its float.
type looseJoint struct {
	joint int
	set   *floatset.Set
}

// linear is how numbers follow the floats to first order.
type linear struct {
	from   []floatset.Vec // of every joint: about where
	values []float64      // there
	deriv  []float64      // deriv[i·3L + 3l + c] is number i by component c of loose joint l of L
	moves  []twist        // of every component of the loose joints' floats
}

// copyFrom makes a linear form another's.
func (f *linear) copyFrom(o *linear) {
	f.from, f.values = append(f.from[:0], o.from...), append(f.values[:0], o.values...)
	f.deriv, f.moves = append(f.deriv[:0], o.deriv...), append(f.moves[:0], o.moves...)
}

// over follows results over the floats of all loose joints together. Positions follow the floats to
// first order about where the joints now are; every value that is returned is worked out again in
// full at the floats found.
type over struct {
	k     *kernel
	loose []looseJoint
	linear
	circles   bool   // the circles' centres were followed last, x and y in turn
	restLine  linear // as they were about rest,
	restKnown bool   // where that is known
	aside     bool   // the circles are not where the parts are

	probe   []floatset.Vec
	trial   []floatset.Vec
	problem conic.Problem
	solver  conic.Solver

	shadow   shadow
	sums     []groupSums // of each group
	now      *groupSums  // of the group that is looked at
	chosen   []int
	part     []float64
	shafts   []int // all of them
	full     []float64
	gradient []float64
	spot     []floatset.Vec
	hint     [][2]float64
	atRest   [2]float64 // use and lack of room at rest,
	restErr  [2]error   // or why there is none,
	rested   bool       // where they are known
	rule     lineRule
	stray    []float64      // of each circle, from where it follows the floats to first order
	width    []float64      // of each loose joint's float: its shifts and its turns
	worstAt  []floatset.Vec // floats of the worst found so far
	enough   float64        // beyond which how bad it is does not matter
}

// newOver lists the joints that float.
func (k *kernel) newOver() *over {
	o := &over{k: k, enough: math.Inf(1)}
	o.reset()
	return o
}

// reset lists the loose joints of the kernel's present seats.
func (o *over) reset() {
	k := o.k
	o.loose = o.loose[:0]
	for i, s := range k.seats {
		j := &k.stack.Joints[i]
		if j.Lies == LiesAny && j.Float == nil && s.set.Dim > 0 {
			o.loose = append(o.loose, looseJoint{i, &s.set})
		}
	}
	n := len(k.seats)
	o.from, o.probe, o.trial, o.spot = dense.Resize(o.from, n), dense.Resize(o.probe, n), dense.Resize(o.trial, n), dense.Resize(o.spot, n)
	o.rested = false
	o.sums = dense.Resize(o.sums, len(k.lay.groups))
	o.circles, o.restKnown, o.aside = false, false, false
	for i := range o.sums {
		o.sums[i].listed, o.sums[i].topped, o.sums[i].leastBy = false, false, [2]bool{}
	}
}

// rest writes where every joint lies when nobody pushes it.
func (o *over) rest(dst []floatset.Vec) {
	for i, s := range o.k.seats {
		dst[i] = s.at
	}
}

// put puts the parts where the floats say, unless they are there.
func (o *over) put(at []floatset.Vec) {
	if o.aside || !slices.Equal(at, o.k.floats) {
		o.k.placeAt(at)
		o.aside = false
	}
}

// lineAtRest is the use or lack of room where the joints rest; both are worked out the first time,
// so that the parts stay where they are afterwards.
func (o *over) lineAtRest(by shaftline.Measure) (float64, error) {
	if !o.rested {
		o.putAtRest()
		for m := range o.atRest {
			o.atRest[m], o.restErr[m] = o.k.line.Least(shaftline.Measure(m))
		}
		o.rested = true
	}
	return o.atRest[by], o.restErr[by]
}

// putAtRest puts the parts where they rest.
func (o *over) putAtRest() {
	o.rest(o.probe)
	o.put(o.probe)
}

// followMesh makes a mesh's deviation follow the floats about the floats at, by central
// differences.
func (o *over) followMesh(r *outputAt, at []floatset.Vec) {
	o.begin(at, 1)
	for l, j := range o.loose {
		for c, h := range [3]float64{shiftStep, shiftStep, turnStep} {
			var ends [2]float64
			for n, by := range [2]float64{h, -h} {
				copy(o.probe, at)
				v := &o.probe[j.joint]
				*[3]*float64{&v.X, &v.Y, &v.G}[c] += by
				o.put(o.probe)
				ends[n], _ = o.k.meshDeviation(r)
			}
			o.set(0, 3*l+c, (ends[0]-ends[1])/(2*h))
		}
	}
	o.put(at)
	o.values[0], _ = o.k.meshDeviation(r)
}

// push sets dst to the floats farthest along the gradient of Σ_i weight_i value_i.
func (o *over) push(dst []floatset.Vec, weight ...float64) error {
	n := 3 * len(o.loose)
	o.gradient = dense.Zeros(o.gradient, n)
	for i, a := range weight {
		for j, d := range o.derivatives(i) {
			o.gradient[j] += a * d
		}
	}
	copy(dst, o.from)
	return o.pushAlong(dst)
}

// follow is Σ value_i + derivatives times the shift to floats.
func (o *over) follow(i int, floats []floatset.Vec) float64 {
	w := 3 * len(o.loose)
	v := o.values[i]
	for l, j := range o.loose {
		d := o.deriv[i*w+3*l:]
		at, to := o.from[j.joint], floats[j.joint]
		v += d[0]*(to.X-at.X) + d[1]*(to.Y-at.Y) + d[2]*(to.G-at.G)
	}
	return v
}

// floatVariables is how many variables the loose joints' floats have together.
func (o *over) floatVariables() int {
	n := 0
	for _, j := range o.loose {
		n += j.set.Dim
	}
	return n
}

// leastUnit, in mm, is that of joints without clearance: a nanometre.
const leastUnit = 1e-6

// floatUnit is a length of the size of the floats.
func (o *over) floatUnit() float64 {
	unit := leastUnit
	for _, j := range o.loose {
		unit = math.Max(unit, j.set.WidestRadius())
	}
	return unit
}

// floatRow adds a number to a row as it follows the floats, v there where they were followed from
// and d its derivatives: coefficients from column col on, the constant last, over unit.
func (o *over) floatRow(row []float64, v float64, d []float64, col int, unit float64) {
	for l, j := range o.loose {
		d := d[3*l:]
		s := j.set
		at := o.from[j.joint]
		base := s.Vec(s.Base)
		v += d[0]*(base.X-at.X) + d[1]*(base.Y-at.Y) + d[2]*(base.G-at.G)
		for t := range s.Dim {
			row[col] += d[0]*s.Span[t][0] + d[1]*s.Span[t][1] + d[2]*s.Span[t][2]/s.CharLength
			col++
		}
	}
	row[len(row)-1] += v / unit
}

// derivatives are those of number i.
func (o *over) derivatives(i int) []float64 {
	w := 3 * len(o.loose)
	return o.deriv[i*w : (i+1)*w]
}

// solve sets floats to those of a program's solution, in which they are the variables from column
// col on, in unit; their constraints are added here.
func (o *over) solve(p *conic.Problem, col int, unit float64, floats []floatset.Vec) error {
	first := col
	for _, j := range o.loose {
		j.set.SpanCones(p, col, unit)
		col += j.set.Dim
	}
	res, err := o.solver.Solve(p, tol.Meet/unit)
	if err != nil {
		return fault.Unsolved("the straight lines over the float", "/shafts and /joints", err)
	}
	x := res.X[first:]
	for _, j := range o.loose {
		var t [3]float64
		for i := range j.set.Dim {
			t[i] = unit * x[i]
		}
		floats[j.joint], x = j.set.AtSpan(t), x[j.set.Dim:]
	}
	return nil
}
