package shaftline

import (
	"math"
	"slices"

	"example.com/borestack/align/internal/tol"
	"example.com/borestack/fault"
)

// BestLines are the straight shafts of the group last solved by utilisation, own: within λ, the utilisation of all groups, of every clearance, and among those of least Σ|p - ℓ|².
// Circles that govern hold their distance, which is unique.
func (l *Solver) BestLines(group []int, own, lambda float64) ([]Line, error) {
	kept := slices.Clone(l.Multipliers)
	l.Gather(group)
	copy(l.Multipliers, kept)
	f := l.Frame(group)
	governs := own > 0 && Same(own, lambda)
	x, err := l.closestLines(&f, governs, lambda, false)
	if err != nil || !l.within(&f, x, lambda) {
		x, err = l.closestLines(&f, governs, lambda, true)
	}
	if err != nil {
		// Where many circles govern, their distances agree to the certificate of the use only,
		// which may be too little to hold them all at once: every circle within its share, and that
		// much more, then.
		x, err = l.closestLines(&f, false, lambda*(1+Governs)+Governs, true)
	}
	if err != nil {
		return nil, err
	}
	var out []Line
	for _, s := range group {
		a, b := l.work[4*l.slot[s]:], x[4*l.slot[s]:]
		vx, vy := (a[1]+f.Unit*b[1])/f.Half, (a[3]+f.Unit*b[3])/f.Half
		out = append(out, Line{a[0] + f.Unit*b[0] - vx*f.Mid, a[2] + f.Unit*b[2] - vy*f.Mid, vx, vy})
	}
	return out, nil
}

// Of the search for the best lines.
const (
	agree = 1e-6  // how well the distances of circles that govern agree: to the certificate of the utilisation
	stays = 1e-13 // curvature, beside the order of 1, that keeps a shaft which nothing holds where it is
)

// Same reports whether two values of a measure are the same but for rounding.
func Same(a, b float64) bool { return math.Abs(a-b) <= sameMeasure*(1+math.Abs(b)) }

// closestLines minimises Σ|p - ℓ|² with governing circles held at their distance, and, if bounded,
// every other within λ of its clearance.
func (l *Solver) closestLines(f *Frame, governs bool, lambda float64, bounded bool) ([]float64, error) {
	p := &l.problem
	n := f.N
	p.Reset(n)
	quad := p.Quadratic()
	row := make([]float64, n+1)
	for c, i := range l.Members {
		q := &l.Circles[i]
		size := math.Hypot(l.Multipliers[c][0], l.Multipliers[c][1])
		held := q.Radius == 0 || (governs && size*q.Radius > Governs)
		for component := range 2 {
			clear(row)
			l.lineRow(row, f, c, component)
			for a := range n {
				if row[a] == 0 {
					continue
				}
				for b := range n {
					quad[a*n+b] += row[a] * row[b]
				}
				p.Cost()[a] += row[a] * row[n]
			}
			if held {
				e := p.Equal()
				copy(e, row)
				e[n] = -row[n]
				if q.Radius > 0 {
					e[n] += lambda * q.Radius / f.Unit * l.Multipliers[c][component] / size
				}
			}
		}
		if bounded && !held {
			cone := p.Cone(2)
			cone.Row(0)[n] = (lambda*q.Radius + tol.Meet) / f.Unit
			l.lineRow(cone.Row(1), f, c, 0)
			l.lineRow(cone.Row(2), f, c, 1)
		}
	}
	for a := range n { // a shaft that nothing holds stays where it is
		quad[a*n+a] += stays
	}
	res, err := l.solver.Solve(p, agree)
	if err != nil {
		return nil, fault.Unsolved("the straight lines of the shafts", "/shafts", err)
	}
	return res.X, nil
}

// within reports whether lines x stay within λ of every clearance.
func (l *Solver) within(f *Frame, x []float64, lambda float64) bool {
	row := make([]float64, f.N+1)
	for c, i := range l.Members {
		var d [2]float64
		for component := range 2 {
			clear(row)
			l.lineRow(row, f, c, component)
			d[component] = row[f.N]
			for a, v := range row[:f.N] {
				d[component] += v * x[a]
			}
		}
		if f.Unit*math.Hypot(d[0], d[1]) > lambda*l.Circles[i].Radius*(1+agree)+agree {
			return false
		}
	}
	return true
}

// GovernWeights sets what the multipliers of the group last solved weigh, member by member: |y|,
// times r by utilisation; 0 for a circle that does not govern. A circle without radius that the
// line must pass through governs however little it weighs.
func (l *Solver) GovernWeights(by Measure, each func(member int, weight float64)) {
	var most float64
	for _, y := range l.Multipliers {
		most = math.Max(most, math.Hypot(y[0], y[1]))
	}
	for c, i := range l.Members {
		r := l.Circles[i].Radius
		size := math.Hypot(l.Multipliers[c][0], l.Multipliers[c][1])
		weight, governs := size, size > Governs
		if by == ByUtilisation {
			weight = size * r
			governs = weight > Governs || (r == 0 && size > Governs*most)
		}
		if governs {
			each(c, weight)
		}
	}
}
