package shaftline

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"

	"example.com/borestack/align/internal/conic"
	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/tol"
	"example.com/borestack/fault"
)

// Of the programs.
const (
	leastUnit = 1e-6  // mm: a unit of length however well the lines fit
	sameRow   = 1e-10 // share of the greatest singular value below which circles say the same of the lines
)

// byCones is the general answer, a second-order cone program in the lines of the group.
func (l *Solver) byCones(group []int, by Measure) (float64, error) {
	f := l.Frame(group)
	p := &l.problem
	n := 4*len(group) + 1
	p.Reset(n)
	p.Cost()[n-1] = 1
	held := l.Cones(p, &f, func(i int) bool { return by == ByUtilisation && l.Circles[i].Radius == 0 }, func(room []float64, i int) {
		if by == ByUtilisation {
			room[n-1] = l.Circles[i].Radius / f.Radius
		} else {
			room[n-1], room[n] = 1, l.Circles[i].Radius/f.Unit
		}
	}, nil)
	if held == len(l.Members) { // no λ at all: only whether lines exist
		cone := p.Cone(1)
		cone.Row(0)[n-1] = 1
	}
	res, err := l.solver.Solve(p, tol.Meet/f.Unit)
	if errors.Is(err, conic.ErrNoPoint) {
		return math.Inf(1), nil
	}
	if err != nil {
		return 0, fault.Unsolved("the straight lines of the shafts", "/shafts", err)
	}
	scale := f.Unit
	if by == ByUtilisation {
		scale = f.Unit / f.Radius
	}
	l.Gap = res.Gap * scale
	cone := 0
	for c, i := range l.Members {
		if by == ByUtilisation && l.Circles[i].Radius == 0 {
			continue
		}
		d := l.solver.Dual(cone)
		cone++
		l.Multipliers[c] = [2]float64{-d[1] * scale / f.Unit, -d[2] * scale / f.Unit}
	}
	if held > 0 {
		l.balanceHeld(group)
	}
	return res.Objective * scale, nil
}

// balanceHeld finds the multipliers of circles without room: those that balance the others on every
// line, the smallest if there is a choice.
func (l *Solver) balanceHeld(group []int) {
	var held []int
	for c, i := range l.Members {
		if l.Circles[i].Radius == 0 {
			held = append(held, c)
		}
	}
	n := 2 * len(group)
	a, b := mat.NewDense(n, len(held), nil), mat.NewDense(n, 2, nil)
	row := make([]float64, n)
	for h, c := range held {
		clear(row)
		l.Coefficients(row, l.Members[c], 0, 1)
		a.SetCol(h, row)
	}
	for c, i := range l.Members {
		if l.Circles[i].Radius == 0 {
			continue
		}
		clear(row)
		l.Coefficients(row, i, 0, 1)
		for r, v := range row {
			b.Set(r, 0, b.At(r, 0)-v*l.Multipliers[c][0])
			b.Set(r, 1, b.At(r, 1)-v*l.Multipliers[c][1])
		}
	}
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDThin) {
		return
	}
	rank := svd.Rank(sameRow)
	if rank == 0 {
		return
	}
	var y mat.Dense
	svd.SolveTo(&y, b, rank)
	for h, c := range held {
		l.Multipliers[c] = [2]float64{y.At(h, 0), y.At(h, 1)}
	}
}

// Frame are the scales of one group's program: z about mid in half spans, lengths in unit about a
// first line of each shaft.
type Frame struct {
	Mid, Half, Unit, Radius float64
	N                       int
}

// Frame takes a first line off every shaft's centres and finds the scales.
func (l *Solver) Frame(group []int) Frame {
	f := Frame{N: 4 * len(group)}
	if f.Mid, f.Half = l.span(); f.Half == 0 {
		f.Half = 1
	}
	l.work = dense.Resize(l.work, 4*len(group))
	for _, s := range group {
		a := l.work[4*l.slot[s] : 4*l.slot[s]+4]
		a[0], a[1], a[2], a[3] = l.firstLine(s, &f)
	}
	for c, i := range l.Members {
		q := &l.Circles[i]
		z := (q.Z - f.Mid) / f.Half
		a := l.work[4*l.slot[q.Shaft]:]
		l.px[c] -= a[0] + a[1]*z
		l.py[c] -= a[2] + a[3]*z
		if q.Other >= 0 {
			b := l.work[4*l.slot[q.Other]:]
			l.px[c] += b[0] + b[1]*z
			l.py[c] += b[2] + b[3]*z
		}
		f.Unit = math.Max(f.Unit, math.Max(q.Radius, dense.Length(l.px[c], l.py[c])))
		f.Radius = math.Max(f.Radius, q.Radius)
	}
	f.Unit = math.Max(f.Unit, leastUnit)
	if f.Radius == 0 {
		f.Radius = f.Unit
	}
	return f
}

// firstLine is the line through a shaft's first and last support, in half spans.
func (l *Solver) firstLine(shaft int, f *Frame) (x, vx, y, vy float64) {
	first, last := -1, -1
	for _, i := range l.Members {
		if c := &l.Circles[i]; c.Shaft == shaft && c.Other < 0 {
			if first < 0 {
				first = i
			}
			last = i
		}
	}
	if first < 0 {
		return 0, 0, 0, 0
	}
	a, b := &l.Circles[first], &l.Circles[last]
	if a.Z != b.Z {
		vx, vy = (b.X-a.X)/(b.Z-a.Z)*f.Half, (b.Y-a.Y)/(b.Z-a.Z)*f.Half
	}
	z := (a.Z - f.Mid) / f.Half
	return a.X - vx*z, vx, a.Y - vy*z, vy
}

// Cones appends to p what holds each member at its line's distance: an equality where that must be
// nothing, and otherwise a cone, whose row for the room the caller fills in. It returns how many are
// held. A distance is that of lineRow; more, where given, adds to the row of member c's
// component what else moves its centre.
func (l *Solver) Cones(p *conic.Problem, f *Frame, isHeld func(circle int) bool, room func(row []float64, circle int), more func(row []float64, c, component int)) (held int) {
	row := func(r []float64, c, component int) []float64 {
		l.lineRow(r, f, c, component)
		if more != nil {
			more(r, c, component)
		}
		return r
	}
	for c, i := range l.Members {
		if isHeld(i) {
			for component := range 2 {
				r := row(p.Equal(), c, component)
				r[len(r)-1] = -r[len(r)-1]
			}
			held++
			continue
		}
		cone := p.Cone(2)
		room(cone.Row(0), i)
		row(cone.Row(1), c, 0)
		row(cone.Row(2), c, 1)
	}
	return held
}

// lineRow writes one component (0: x, 1: y) of member c's distance from its line, p - ℓ, to a
// zeroed row: coefficients of the group's lines, the constant last.
func (l *Solver) lineRow(row []float64, f *Frame, c, component int) {
	q := &l.Circles[l.Members[c]]
	z := (q.Z - f.Mid) / f.Half
	v := l.px[c]
	if component == 1 {
		v = l.py[c]
	}
	s := 4*l.slot[q.Shaft] + 2*component
	row[s], row[s+1] = -1, -z
	if q.Other >= 0 {
		s = 4*l.slot[q.Other] + 2*component
		row[s], row[s+1] = 1, z
	}
	row[len(row)-1] = v / f.Unit
}
