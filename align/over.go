package align

import (
	"math"

	"example.com/borestack/align/internal/conic"
	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/align/internal/tol"
	"example.com/borestack/fault"
)

// Steps of the central differences by which results follow the floats: the poses are smooth, so a step of a tenth of a micrometre, or of a tenth of a micrometre a metre, leaves about nine digits.
const (
	shiftStep = 1e-4 // mm
	turnStep  = 1e-6 // rad
)

// aims is how many directions are tried before the best few are followed to their tops; with many joints, or many sums to follow, fewer.
const (
	aims     = 24
	followed = 3

	fewestAims = 6
	reaches    = 3000 // about how many times the joints' floats are asked for their farthest point in one search
)

// Of the search for a longest or shortest vector, linearised again where it was found: how often at most, and the gain, in mm, below which it ends.
const (
	polishes = 8
	polished = 1e-12
)

// effort shares the reaches of one search out over the given number of searches: how many aims and how many climbs each may have.
func (o *over) effort(searches int) (aim, climb int) {
	each := reaches / (searches * max(1, len(o.loose)))
	return max(fewestAims, min(aims, each/2)), max(4, min(60, each/(2*followed)))
}

// looseJoint is a joint that may lie anywhere in its float.
type looseJoint struct {
	joint int
	set   *floatset.Set
}

// over follows results over the floats of all loose joints together. Positions follow the floats to first order about where the joints now are; every value that is returned is worked out again in full at the floats found.
type over struct {
	k         *kernel
	loose     []looseJoint
	from      []floatset.Vec // of every joint: where it was linearised
	deriv     []float64
	circlesAt int     // the placing of the parts at which the circles' centres were followed last; 0: something else was
	moves     []twist // of every component of the loose joints' floats
	values    []float64
	plus      []float64
	minus     []float64
	probe     []floatset.Vec
	trial     []floatset.Vec
	problem   conic.Problem
	solver    conic.Solver

	shadow   shadow
	sums     []groupSums // of each group
	now      *groupSums  // of the group that is looked at
	chosen   []int
	part     []float64
	full     []float64
	gradient []float64
	spot     []floatset.Vec
	hint     [][2]float64
	worstAt  []floatset.Vec // floats of the worst found so far
}

// newOver lists the joints that float.
func (k *kernel) newOver() *over {
	o := &over{k: k}
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
	o.sums, o.circlesAt = dense.Resize(o.sums, len(k.lay.groups)), 0
	for i := range o.sums {
		o.sums[i].listed, o.sums[i].found, o.sums[i].shortBy = false, false, [2]bool{}
	}
}

// rest writes where every joint lies when nobody pushes it.
func (o *over) rest(dst []floatset.Vec) {
	for i, s := range o.k.seats {
		dst[i] = s.at
	}
}

// linearise works out value (n numbers) and its derivatives by every loose joint's (fx, fy, γ), about the floats at. deriv[i·3L + 3l + c] is number i by component c of loose joint l.
func (o *over) linearise(at []floatset.Vec, n int, value func(dst []float64)) {
	o.circlesAt = 0
	copy(o.from, at)
	w := 3 * len(o.loose)
	o.deriv, o.values = dense.Resize(o.deriv, n*w), dense.Resize(o.values, n)
	o.plus, o.minus = dense.Resize(o.plus, n), dense.Resize(o.minus, n)
	for l, j := range o.loose {
		for c := range 3 {
			h := shiftStep
			if c == 2 {
				h = turnStep
			}
			o.at(at, j.joint, c, h)
			value(o.plus)
			o.at(at, j.joint, c, -h)
			value(o.minus)
			for i := range n {
				o.deriv[i*w+3*l+c] = (o.plus[i] - o.minus[i]) / (2 * h)
			}
		}
	}
	o.k.placeAt(at)
	value(o.values)
}

// at places the joints at floats with one component moved.
func (o *over) at(floats []floatset.Vec, joint, component int, by float64) {
	copy(o.probe, floats)
	v := &o.probe[joint]
	switch component {
	case 0:
		v.X += by
	case 1:
		v.Y += by
	default:
		v.G += by
	}
	o.k.placeAt(o.probe)
}

// push sets dst to the floats farthest along the gradient Σ_i weight_i · d value_i, and returns how far that raises Σ weight_i value_i.
func (o *over) push(dst []floatset.Vec, weight []float64) (float64, error) {
	copy(dst, o.from)
	w := 3 * len(o.loose)
	var rise float64
	for l, j := range o.loose {
		var g floatset.Vec
		for i, a := range weight {
			d := o.deriv[i*w+3*l:]
			g.X += a * d[0]
			g.Y += a * d[1]
			g.G += a * d[2]
		}
		v, err := j.set.Farthest(g)
		if err != nil {
			return 0, err
		}
		at := o.from[j.joint]
		rise += g.X*(v.X-at.X) + g.Y*(v.Y-at.Y) + g.G*(v.G-at.G)
		dst[j.joint] = v
	}
	return rise, nil
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

// scalarEnds finds the least and greatest of one number over the floats.
func (o *over) scalarEnds(value func(dst []float64)) (lo, hi float64, err error) {
	o.rest(o.trial)
	o.linearise(o.trial, 1, value)
	rest := o.values[0]
	lo, hi = rest, rest
	for _, sign := range [2]float64{-1, 1} {
		if _, err := o.push(o.trial, []float64{sign}); err != nil {
			return 0, 0, err
		}
		o.k.placeAt(o.trial)
		value(o.plus)
		lo, hi = math.Min(lo, o.plus[0]), math.Max(hi, o.plus[0])
	}
	return lo, hi, nil
}

// sizeEnds finds the least and greatest length of a vector in the plane over the floats. The greatest is the maximum of a convex function: directions are tried all round, the best few followed to their tops.
func (o *over) sizeEnds(value func(dst []float64), want end) (lo, hi float64, err error) {
	o.rest(o.trial)
	o.linearise(o.trial, 2, value)
	rest := math.Hypot(o.values[0], o.values[1])
	best := make([]floatset.Vec, len(o.from))
	if want&highEnd != 0 {
		if _, err := o.greatest(best, []float64{1, 0}, []float64{0, 1}, 1); err != nil {
			return 0, 0, err
		}
		if hi, err = o.extreme(best, value, 1); err != nil {
			return 0, 0, err
		}
		hi = math.Max(rest, hi)
	}
	if want&lowEnd != 0 {
		lo, err = o.leastSize(best, rest, value)
	}
	return lo, hi, err
}

// extreme is the length of the vector at floats, linearised there again and pushed along itself (sign 1, for the longest) or against itself (sign -1, for the shortest) as long as that is felt; floats is left where it is attained.
func (o *over) extreme(floats []floatset.Vec, value func(dst []float64), sign float64) (float64, error) {
	end := math.Inf(-1) // times sign
	copy(o.trial, floats)
	for range polishes {
		o.linearise(o.trial, 2, value)
		x, y := o.values[0], o.values[1]
		r := math.Hypot(x, y)
		felt := sign*r - end
		if !(felt > 0) {
			break
		}
		end = sign * r
		copy(floats, o.trial)
		if felt <= polished || r == 0 {
			break
		}
		if _, err := o.push(o.trial, []float64{sign * x / r, sign * y / r}); err != nil {
			return 0, err
		}
	}
	return sign * end, nil
}

// greatest finds the floats at which the vector (Σ a_i value_i, Σ b_i value_i) is longest, and its length there, as one of several searches.
func (o *over) greatest(best []floatset.Vec, a, b []float64, searches int) (float64, error) {
	aims, climbs := o.effort(searches)
	n := len(a)
	weight := make([]float64, n)
	trial := make([]floatset.Vec, len(o.from))
	turnTo := func(s, c float64) {
		for i := range n {
			weight[i] = s*a[i] + c*b[i]
		}
	}
	sums := func(floats []floatset.Vec) (x, y float64) {
		for i := range n {
			if a[i] != 0 || b[i] != 0 {
				v := o.follow(i, floats)
				x += a[i] * v
				y += b[i] * v
			}
		}
		return x, y
	}
	tops := make([]float64, aims)
	for i := range aims {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(aims))
		turnTo(s, c)
		if _, err := o.push(trial, weight); err != nil {
			return 0, err
		}
		x, y := sums(trial)
		tops[i] = s*x + c*y
	}
	longest := math.Inf(-1)
	for range followed {
		at := 0
		for i := range aims {
			if tops[i] > tops[at] {
				at = i
			}
		}
		if math.IsInf(tops[at], -1) {
			break
		}
		s, c := math.Sincos(2 * math.Pi * float64(at) / float64(aims))
		for _, i := range [3]int{at + aims - 1, at, at + 1} { // its neighbours climb to the same top
			tops[i%aims] = math.Inf(-1)
		}
		last := math.Inf(-1)
		for range climbs {
			turnTo(s, c)
			if _, err := o.push(trial, weight); err != nil {
				return 0, err
			}
			x, y := sums(trial)
			r := math.Hypot(x, y)
			if r > longest {
				longest = r
				copy(best, trial)
			}
			if r <= last*(1+1e-14)+1e-15 || r == 0 {
				break
			}
			last, s, c = r, x/r, y/r
		}
	}
	return longest, nil
}

// leastSize finds the least length of the linearised vector, a cone program in the floats, linearised again where it was found as long as that is felt.
func (o *over) leastSize(at []floatset.Vec, rest float64, value func(dst []float64)) (float64, error) {
	least := rest
	o.rest(at)
	for range polishes {
		o.linearise(at, 2, value)
		n := o.floatVariables()
		unit := o.floatUnit()
		unit = math.Max(unit, math.Hypot(o.values[0], o.values[1]))
		p := &o.problem
		p.Reset(n + 1)
		p.Cost()[n] = 1
		c := p.Cone(2)
		c.Row(0)[n] = 1
		for i := range 2 {
			o.floatRow(c.Row(i+1), i, 0, unit)
		}
		o.fenceCones(p, 0, unit)
		res, err := o.solver.Solve(p, tol.Meet)
		if err != nil {
			return 0, fault.Unsolved("the extremes over the float", "/joints", err)
		}
		o.readFloats(at, res.X, 0, unit)
		o.k.placeAt(at)
		value(o.plus)
		felt := least - math.Hypot(o.plus[0], o.plus[1])
		least -= math.Max(felt, 0)
		if felt <= polished {
			break
		}
	}
	// Far from zero the program spends its digits on the distance; the farthest points of the floats do not.
	end, err := o.extreme(at, value, -1)
	return math.Min(least, end), err
}

// floatVariables is how many variables the loose joints' floats have together.
func (o *over) floatVariables() int {
	n := 0
	for _, j := range o.loose {
		n += j.set.Dim
	}
	return n
}

// floatUnit is a length of the size of the floats.
func (o *over) floatUnit() float64 {
	unit := 1e-6
	for _, j := range o.loose {
		for _, i := range j.set.Open {
			unit = math.Max(unit, j.set.Constraints[i].Radius)
		}
	}
	return unit
}

// floatRow adds number i, as it follows the floats, to a row: coefficients from column col on, the constant last, all over unit.
func (o *over) floatRow(row []float64, i, col int, unit float64) {
	w := 3 * len(o.loose)
	v := o.values[i]
	for l, j := range o.loose {
		d := o.deriv[i*w+3*l:]
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

// fenceCones appends the fences of all loose joints, their variables from column col on.
func (o *over) fenceCones(p *conic.Problem, col int, unit float64) {
	for _, j := range o.loose {
		j.set.SpanCones(p, col, unit)
		col += j.set.Dim
	}
}

// readFloats reads the floats from a solution.
func (o *over) readFloats(dst []floatset.Vec, x []float64, col int, unit float64) {
	var t [3]float64
	for _, j := range o.loose {
		for i := range j.set.Dim {
			t[i] = unit * x[col+i]
		}
		dst[j.joint] = j.set.AtSpan(t[:])
		col += j.set.Dim
	}
}
