package align

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"

	"example.com/borestack/align/internal/conic"
)

// meetTol is how far, in mm, lines and centres without any room may miss each other and still meet: rounding of positions of a few metres.
const meetTol = 1e-9

// measure is what is made least: the use of clearance, |d| ≤ λ r, or the lack of room, |d| ≤ r + s.
type measure uint8

const (
	byUse measure = iota
	byMargin
)

// samePlace is the share of the line's length below which two circles are at one place.
const samePlace = 1e-9

// lineSolver finds straight shafts through circles, one group of coupled shafts at a time. Its answers stand in pull: the multiplier of each circle of the group, a vector that pulls the circle's centre, in units of the measure per mm.
type lineSolver struct {
	solver  conic.Solver
	problem conic.Problem
	members []int        // circles of the group
	slot    []int        // per shaft: its place in the group, or -1
	px, py  []float64    // members' centres
	pull    [][2]float64 // members' multipliers
	closed  bool         // by the closed form
	gap     float64
	weights []float64 // of the sums of centres that no line changes: one of them,
	second  []float64 // and, if there are two,
	two     bool      // the other
	chosen  []int
	order   []int
	work    []float64
	fast    chebyshev
	hint    [][2]float64 // multipliers that may be those of the answer, for the fast method to begin with; nil mostly
	many    bool         // beside a hint: more than one sum of centres is known to matter
}

// use is the least λ for which straight shafts exist; +Inf when no line exists at all.
func (k *kernel) use() (float64, error) {
	var most float64
	for _, g := range k.lay.groups {
		v, err := k.solveGroup(g, byUse)
		if err != nil {
			return 0, err
		}
		most = math.Max(most, v)
	}
	return most, nil
}

// margin is the room left, negative when every clearance lacks room; +Inf without shafts.
func (k *kernel) margin() (float64, error) {
	least := math.Inf(1)
	for _, g := range k.lay.groups {
		s, err := k.solveGroup(g, byMargin)
		if err != nil {
			return 0, err
		}
		least = math.Min(least, -s)
	}
	return least, nil
}

// gather collects a group's circles.
func (k *kernel) gather(group []int) {
	l := &k.line
	l.slot = resize(l.slot, len(k.stack.Shafts))
	for i := range l.slot {
		l.slot[i] = -1
	}
	for i, s := range group {
		l.slot[s] = i
	}
	l.members, l.px, l.py, l.pull = l.members[:0], l.px[:0], l.py[:0], l.pull[:0]
	for i := range k.circles {
		if c := &k.circles[i]; l.slot[c.shaft] >= 0 {
			l.members = append(l.members, i)
			l.px = append(l.px, c.x)
			l.py = append(l.py, c.y)
			l.pull = append(l.pull, [2]float64{})
		}
	}
}

// solveGroup finds the least λ (byUse) or s (byMargin) of one group, and the multipliers. Lines that pass through every centre but for rounding have no multipliers, as those that pass through exactly.
func (k *kernel) solveGroup(group []int, by measure) (float64, error) {
	v, err := k.leastOfGroup(group, by)
	if err == nil && by == byUse && v*k.widestRoom() <= touching {
		clear(k.line.pull)
	}
	return v, err
}

// leastOfGroup tries the closed form, the fast method and the program in turn.
func (k *kernel) leastOfGroup(group []int, by measure) (float64, error) {
	k.gather(group)
	l := &k.line
	l.closed, l.gap = false, 0
	if l.hint == nil || !l.many {
		switch k.nullity(group) {
		case 0:
			l.closed = true
			return k.nothingPulls(by), nil
		case 1:
			l.closed = true
			return k.closedForm(by), nil
		}
	}
	if k.loadFast(group) {
		var v float64
		var proved bool
		if by == byUse {
			v, proved = k.fastUse()
		} else {
			v, proved = k.fastMargin()
		}
		if proved {
			return v, nil
		}
	}
	k.gather(group)
	return k.byCones(group, by)
}

// nothingPulls is the answer when lines pass through every centre.
func (k *kernel) nothingPulls(by measure) float64 {
	if by == byUse {
		return 0
	}
	return -k.leastRoom()
}

func (k *kernel) leastRoom() float64 {
	room := math.Inf(1)
	for _, i := range k.line.members {
		room = math.Min(room, k.circles[i].room)
	}
	return room
}

func (k *kernel) widestRoom() float64 {
	room := 0.0
	for _, i := range k.line.members {
		room = math.Max(room, k.circles[i].room)
	}
	return room
}

// nullity says how many independent sums of centres no line can change: 0 (lines reach every centre), 1 (weights holds the only one), or 2 for more.
func (k *kernel) nullity(group []int) int {
	l := &k.line
	m, n := len(l.members), 2*len(group)
	l.weights = resize(l.weights, m)
	if n == 2 && m == 3 {
		a, b, c := k.circles[l.members[0]].z, k.circles[l.members[1]].z, k.circles[l.members[2]].z
		span := math.Max(math.Abs(a-b), math.Max(math.Abs(b-c), math.Abs(c-a)))
		if span == 0 {
			return 2
		}
		l.weights[0], l.weights[1], l.weights[2] = (b-c)/span, (c-a)/span, (a-b)/span
		return 1
	}
	l.two = false
	if m > n+2 {
		return 2
	}
	l.chosen = l.chosen[:0]
	for c := range m {
		l.chosen = append(l.chosen, c)
	}
	null := k.eliminate(l.chosen, n, l.weights)
	l.two = null == 2
	return min(null, 2)
}

// eliminate finds the weights w with Σ w_i ℓ(z_i) = 0 for all lines over the chosen members, by Gaussian elimination with complete pivoting of the n×m matrix of the lines' coefficients. It returns how many independent such sums there are, at most 3, and the weights if there is one; if there are two, weights holds one and second the other.
func (k *kernel) eliminate(chosen []int, n int, weights []float64) int {
	l := &k.line
	m := len(chosen)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, i := range l.members {
		lo, hi = math.Min(lo, k.circles[i].z), math.Max(hi, k.circles[i].z)
	}
	mid, half := (lo+hi)/2, math.Max((hi-lo)/2, math.SmallestNonzeroFloat64)
	// columns are circles, rows the line coefficients
	l.work = resize(l.work, n*m)
	a := l.work
	clear(a)
	for c, member := range chosen {
		q := &k.circles[l.members[member]]
		z := (q.z - mid) / half
		s := 2 * l.slot[q.shaft]
		a[s*m+c], a[(s+1)*m+c] = 1, z
		if q.other >= 0 {
			s = 2 * l.slot[q.other]
			a[s*m+c], a[(s+1)*m+c] = -1, -z
		}
	}
	l.order = resize(l.order, m)
	order := l.order
	rank := reduceRows(a, n, m, m, order)
	null := m - rank
	l.second = resize(l.second, m)
	w := weights
	for free := range m {
		if order[free] >= 0 || null > 2 {
			continue
		}
		for c := range m {
			switch {
			case order[c] >= 0:
				w[c] = -a[order[c]*m+free]
			case c == free:
				w[c] = 1
			default:
				w[c] = 0
			}
		}
		w = l.second
	}
	return min(null, 3)
}

// closedForm is the answer when only one sum of centres matters: λ = |Σ w p| / Σ |w| r, and s = (|Σ w p| - Σ |w| r) / Σ |w|, not below minus the least room. Source: Farkas' lemma; derivation in the package comment.
func (k *kernel) closedForm(by measure) float64 {
	l := &k.line
	var x, y, rooms, sum float64
	for c, i := range l.members {
		w := l.weights[c]
		x += w * l.px[c]
		y += w * l.py[c]
		rooms += math.Abs(w) * k.circles[i].room
		sum += math.Abs(w)
	}
	off := size2(x, y)
	scale := rooms
	value := 0.0
	if by == byUse {
		if off <= meetTol*sum && rooms == 0 {
			return 0
		}
		if rooms == 0 {
			return math.Inf(1)
		}
		value = off / rooms
	} else {
		scale = sum
		value = (off - rooms) / sum
		if floor := -k.leastRoom(); value <= floor {
			return floor
		}
	}
	if off > 0 {
		for c, w := range l.weights {
			l.pull[c] = [2]float64{w * x / off / scale, w * y / off / scale}
		}
	}
	return value
}

// byCones is the general answer, a second-order cone program in the lines of the group.
func (k *kernel) byCones(group []int, by measure) (float64, error) {
	l := &k.line
	f := k.frame(group)
	p := &l.problem
	n := 4*len(group) + 1
	p.Reset(n)
	p.Cost()[n-1] = 1
	held := 0
	for c, i := range l.members {
		q := &k.circles[i]
		if by == byUse && q.room == 0 {
			for component := range 2 {
				row := p.Equal()
				k.lineRow(row, &f, c, component)
				row[n] = -row[n]
			}
			held++
			continue
		}
		cone := p.Cone(2)
		r := cone.Row(0)
		if by == byUse {
			r[n-1] = q.room / f.room
		} else {
			r[n-1], r[n] = 1, q.room/f.unit
		}
		k.lineRow(cone.Row(1), &f, c, 0)
		k.lineRow(cone.Row(2), &f, c, 1)
	}
	if held == len(l.members) { // no λ at all: only whether lines exist
		cone := p.Cone(1)
		cone.Row(0)[n-1] = 1
	}
	res, err := l.solver.Solve(p, meetTol/f.unit)
	if errors.Is(err, conic.ErrNoPoint) {
		return math.Inf(1), nil
	}
	if err != nil {
		return 0, errors.Join(ErrNotConverging, err)
	}
	scale := f.unit
	if by == byUse {
		scale = f.unit / f.room
	}
	l.gap = res.Gap * scale
	cone := 0
	for c, i := range l.members {
		if by == byUse && k.circles[i].room == 0 {
			continue
		}
		d := l.solver.Dual(cone)
		cone++
		l.pull[c] = [2]float64{-d[1] * scale / f.unit, -d[2] * scale / f.unit}
	}
	if held > 0 {
		k.balanceHeld(group)
	}
	return res.Objective * scale, nil
}

// balanceHeld finds the multipliers of circles without room: those that balance the others on every line, the smallest if there is a choice.
func (k *kernel) balanceHeld(group []int) {
	l := &k.line
	var held []int
	for c, i := range l.members {
		if k.circles[i].room == 0 {
			held = append(held, c)
		}
	}
	n := 2 * len(group)
	a, b := mat.NewDense(n, len(held), nil), mat.NewDense(n, 2, nil)
	put := func(c int, add func(row int, v float64)) {
		q := &k.circles[l.members[c]]
		add(2*l.slot[q.shaft], 1)
		add(2*l.slot[q.shaft]+1, q.z)
		if q.other >= 0 {
			add(2*l.slot[q.other], -1)
			add(2*l.slot[q.other]+1, -q.z)
		}
	}
	for h, c := range held {
		put(c, func(row int, v float64) { a.Set(row, h, v) })
	}
	for c, i := range l.members {
		if k.circles[i].room == 0 {
			continue
		}
		put(c, func(row int, v float64) {
			b.Set(row, 0, b.At(row, 0)-v*l.pull[c][0])
			b.Set(row, 1, b.At(row, 1)-v*l.pull[c][1])
		})
	}
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDThin) {
		return
	}
	rank := svd.Rank(1e-10)
	if rank == 0 {
		return
	}
	var y mat.Dense
	svd.SolveTo(&y, b, rank)
	for h, c := range held {
		l.pull[c] = [2]float64{y.At(h, 0), y.At(h, 1)}
	}
}

// lineFrame are the scales of one group's program: z about mid in half spans, lengths in unit about a first line of each shaft.
type lineFrame struct {
	mid, half, unit, room float64
	n                     int
}

// frame takes a first line off every shaft's centres and finds the scales.
func (k *kernel) frame(group []int) lineFrame {
	l := &k.line
	f := lineFrame{n: 4 * len(group)}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, i := range l.members {
		lo, hi = math.Min(lo, k.circles[i].z), math.Max(hi, k.circles[i].z)
	}
	f.mid, f.half = (lo+hi)/2, (hi-lo)/2
	if f.half == 0 {
		f.half = 1
	}
	l.work = resize(l.work, 4*len(group))
	for _, s := range group {
		a := l.work[4*l.slot[s] : 4*l.slot[s]+4]
		a[0], a[1], a[2], a[3] = k.firstLine(s, &f)
	}
	for c, i := range l.members {
		q := &k.circles[i]
		z := (q.z - f.mid) / f.half
		a := l.work[4*l.slot[q.shaft]:]
		l.px[c] -= a[0] + a[1]*z
		l.py[c] -= a[2] + a[3]*z
		if q.other >= 0 {
			b := l.work[4*l.slot[q.other]:]
			l.px[c] += b[0] + b[1]*z
			l.py[c] += b[2] + b[3]*z
		}
		f.unit = math.Max(f.unit, math.Max(q.room, size2(l.px[c], l.py[c])))
		f.room = math.Max(f.room, q.room)
	}
	f.unit = math.Max(f.unit, 1e-6)
	if f.room == 0 {
		f.room = f.unit
	}
	return f
}

// firstLine is the line through a shaft's first and last support, in half spans.
func (k *kernel) firstLine(shaft int, f *lineFrame) (x, vx, y, vy float64) {
	first, last := -1, -1
	for _, i := range k.line.members {
		if c := &k.circles[i]; c.shaft == shaft && c.support >= 0 {
			if first < 0 {
				first = i
			}
			last = i
		}
	}
	if first < 0 {
		return 0, 0, 0, 0
	}
	a, b := &k.circles[first], &k.circles[last]
	if a.z != b.z {
		vx, vy = (b.x-a.x)/(b.z-a.z)*f.half, (b.y-a.y)/(b.z-a.z)*f.half
	}
	z := (a.z - f.mid) / f.half
	return a.x - vx*z, vx, a.y - vy*z, vy
}

// lineRow writes one component (0: x, 1: y) of member c's distance from its line, p - ℓ, to a zeroed row: coefficients of the group's lines, the constant last.
func (k *kernel) lineRow(row []float64, f *lineFrame, c, component int) {
	l := &k.line
	q := &k.circles[l.members[c]]
	z := (q.z - f.mid) / f.half
	v := l.px[c]
	if component == 1 {
		v = l.py[c]
	}
	s := 4*l.slot[q.shaft] + 2*component
	row[s], row[s+1] = -1, -z
	if q.other >= 0 {
		s = 4*l.slot[q.other] + 2*component
		row[s], row[s+1] = 1, z
	}
	row[len(row)-1] = v / f.unit
}

func resize[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n, n+n/2)
	}
	return s[:n]
}
