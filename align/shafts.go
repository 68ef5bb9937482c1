package align

import (
	"math"
	"slices"

	"example.com/borestack/tolerance"
)

// governTol is the share of the multipliers below which a support does not govern.
const governTol = 1e-6

// shaftLine works out use, margin, what governs and the best straight shafts, the joints where they lie.
func (k *kernel) shaftLine() (*ShaftLine, error) {
	out := &ShaftLine{}
	use, err := k.use()
	if err != nil {
		return nil, err
	}
	margin, caps, err := k.marginAndCaps()
	if err != nil {
		return nil, err
	}
	out.Margin, out.MarginGoverns = tolerance.Length(margin), caps
	by := byUse
	worst := use
	if math.IsInf(use, 1) {
		by, worst = byMargin, -margin
	} else {
		out.Use = tolerance.Given(use)
		out.RunsFree = use <= 1
	}
	out.Certified = governTol * 1e-3
	var pulls []Governor
	for _, g := range k.lay.groups {
		v, err := k.solveGroup(g, by)
		if err != nil {
			return nil, err
		}
		out.Certified = math.Max(out.Certified, k.line.gap)
		if math.Abs(v-worst) <= governTol*1e-3*(1+math.Abs(worst)) {
			pulls = k.governors(pulls, by)
		}
		if by == byUse {
			if err := k.bestShafts(out, g, v, worst); err != nil {
				return nil, err
			}
		}
	}
	out.Governs = shares(pulls)
	return out, nil
}

// governors adds the supports and pockets whose multipliers hold the group last solved.
func (k *kernel) governors(list []Governor, by measure) []Governor {
	var most float64
	for _, p := range k.line.pull {
		most = math.Max(most, math.Hypot(p[0], p[1]))
	}
	for c, i := range k.line.members {
		q := &k.circles[i]
		size := math.Hypot(k.line.pull[c][0], k.line.pull[c][1])
		weight, least := size, governTol
		if by == byUse {
			weight = size * q.room
			if q.room == 0 && size > governTol*most {
				least = -1 // the line must pass through it, however little that weighs
			}
		}
		list = k.addGovernor(list, c, weight, least)
	}
	return list
}

// shares makes the shares add up to 1, the largest first.
func shares(list []Governor) []Governor {
	var sum float64
	for _, g := range list {
		sum += g.Share
	}
	if sum > 0 {
		for i := range list {
			list[i].Share /= sum
		}
	}
	slices.SortStableFunc(list, func(a, b Governor) int {
		switch {
		case a.Share > b.Share+governTol:
			return -1
		case b.Share > a.Share+governTol:
			return 1
		}
		return 0
	})
	return list
}

// bestShafts appends the straight shafts of the group last solved by use: within λ of every clearance, and among those of least Σ|p - ℓ|². Circles that govern hold their distance, which is unique.
func (k *kernel) bestShafts(out *ShaftLine, group []int, own, lambda float64) error {
	l := &k.line
	pull := slices.Clone(l.pull)
	k.gather(group)
	copy(l.pull, pull)
	f := k.frame(group)
	governs := own > 0 && math.Abs(own-lambda) <= governTol*1e-3*(1+lambda)
	x, err := k.closestLines(&f, governs, lambda, false)
	if err != nil || !k.within(&f, x, lambda) {
		x, err = k.closestLines(&f, governs, lambda, true)
	}
	if err != nil {
		// Where many circles govern, their distances agree to the certificate of the use only, which may be too little to hold them all at once: every circle within its share, and that much more, then.
		x, err = k.closestLines(&f, false, lambda*(1+governTol)+governTol, true)
	}
	if err != nil {
		return err
	}
	for _, s := range group {
		a, b := l.work[4*l.slot[s]:], x[4*l.slot[s]:]
		vx, vy := (a[1]+f.unit*b[1])/f.half, (a[3]+f.unit*b[3])/f.half
		out.Shafts = append(out.Shafts, StraightShaft{
			Name:   k.stack.Shafts[s].Name,
			AtZero: Vec2{tolerance.Length(a[0] + f.unit*b[0] - vx*f.mid), tolerance.Length(a[2] + f.unit*b[2] - vy*f.mid)},
			Slope:  Slope{vx, vy},
		})
	}
	return nil
}

// closestLines minimises Σ|p - ℓ|² with governing circles held at their distance, and, if bounded, every other within λ of its clearance.
func (k *kernel) closestLines(f *lineFrame, governs bool, lambda float64, bounded bool) ([]float64, error) {
	l := &k.line
	p := &l.problem
	n := f.n
	p.Reset(n)
	quad := p.Quadratic()
	row := make([]float64, n+1)
	for c, i := range l.members {
		q := &k.circles[i]
		size := math.Hypot(l.pull[c][0], l.pull[c][1])
		held := q.room == 0 || (governs && size*q.room > governTol)
		for component := range 2 {
			clear(row)
			k.lineRow(row, f, c, component)
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
				if q.room > 0 {
					e[n] += lambda * q.room / f.unit * l.pull[c][component] / size
				}
			}
		}
		if bounded && !held {
			cone := p.Cone(2)
			cone.Row(0)[n] = (lambda*q.room + meetTol) / f.unit
			k.lineRow(cone.Row(1), f, c, 0)
			k.lineRow(cone.Row(2), f, c, 1)
		}
	}
	for a := range n { // a shaft that nothing holds stays where it is
		quad[a*n+a] += 1e-13
	}
	// The governing distances agree to the certificate of the use.
	res, err := l.solver.Solve(p, 1e-6)
	if err != nil {
		return nil, unsolved("the straight lines of the shafts", "/shafts", err)
	}
	return res.X, nil
}

// within reports whether lines x stay within λ of every clearance.
func (k *kernel) within(f *lineFrame, x []float64, lambda float64) bool {
	l := &k.line
	row := make([]float64, f.n+1)
	for c, i := range l.members {
		var d [2]float64
		for component := range 2 {
			clear(row)
			k.lineRow(row, f, c, component)
			d[component] = row[f.n]
			for a, v := range row[:f.n] {
				d[component] += v * x[a]
			}
		}
		if f.unit*math.Hypot(d[0], d[1]) > lambda*k.circles[i].room*(1+1e-6)+1e-6 {
			return false
		}
	}
	return true
}
