package align

import (
	"math"
	"slices"

	"example.com/borestack/align/internal/shaftline"
	"example.com/borestack/align/internal/tol"
	"example.com/borestack/tolerance"
)

// shaftLine works out use, margin, what governs and the best straight shafts, the joints where they
// lie.
func (k *kernel) shaftLine() (*ShaftLine, error) {
	out := &ShaftLine{}
	use, err := k.line.Utilisation()
	if err != nil {
		return nil, err
	}
	margin, caps, err := k.marginAndCaps()
	if err != nil {
		return nil, err
	}
	out.Margin, out.MarginGoverns = tolerance.Length(margin), caps
	by := shaftline.ByUtilisation
	worst := use
	if math.IsInf(use, 1) {
		by, worst = shaftline.ByMargin, -margin
	} else {
		out.Use = tolerance.Given(use)
		out.RunsFree = use <= 1
	}
	var governors []tolerance.Share
	for _, g := range k.lay.groups {
		v, err := k.line.Solve(g, by)
		if err != nil {
			return nil, err
		}
		if shaftline.Same(v, worst) {
			k.line.GovernWeights(by, func(member int, weight float64) { governors = k.addGovernor(governors, member, weight) })
		}
		if by == shaftline.ByUtilisation {
			if err := k.bestShafts(out, g, v, worst); err != nil {
				return nil, err
			}
		}
	}
	out.Governs = shares(governors)
	return out, nil
}

// bestShafts appends the straight shafts of the group last solved by use.
func (k *kernel) bestShafts(out *ShaftLine, group []int, own, worst float64) error {
	lines, err := k.line.BestLines(nil, group, own, worst)
	if err != nil {
		return err
	}
	for n, s := range group {
		l := &lines[n]
		out.Shafts = append(out.Shafts, StraightShaft{
			Name: k.stack.Shafts[s].Name, AtZero: Vec2{tolerance.Length(l.X), tolerance.Length(l.Y)}, Slope: Slope{l.SX, l.SY},
		})
	}
	return nil
}

// shares makes the shares add up to 1, the largest first.
func shares(list []tolerance.Share) []tolerance.Share {
	var sum float64
	for _, g := range list {
		sum += g.Share
	}
	if sum > 0 {
		for i := range list {
			list[i].Share /= sum
		}
	}
	slices.SortStableFunc(list, func(a, b tolerance.Share) int {
		switch {
		case a.Share > b.Share+shaftline.Governs:
			return -1
		case b.Share > a.Share+shaftline.Governs:
			return 1
		}
		return 0
	})
	return list
}

// marginAndCaps is the margin with the supports and pockets that cap it, the largest first; of
// several groups of shafts with the same margin, those of all.
func (k *kernel) marginAndCaps() (margin float64, caps []tolerance.Share, err error) {
	margin = math.Inf(1)
	margins := make([]float64, len(k.lay.groups))
	lists := make([][]tolerance.Share, len(k.lay.groups))
	for n, g := range k.lay.groups {
		s, err := k.line.Solve(g, shaftline.ByMargin)
		if err != nil {
			return 0, nil, err
		}
		margins[n], margin = -s, math.Min(margin, -s)
		for c, w := range k.line.Caps(s) {
			if w > shaftline.Governs {
				lists[n] = k.addGovernor(lists[n], c, w)
			}
		}
	}
	for n, m := range margins {
		if m <= margin+tol.Meet {
			caps = append(caps, lists[n]...)
		}
	}
	return margin, shares(caps), nil
}

// addGovernor adds the weight of member c to the support or pocket that it belongs to.
func (k *kernel) addGovernor(list []tolerance.Share, c int, weight float64) []tolerance.Share {
	name := k.circleName(&k.circles[k.line.Members[c]])
	at := slices.IndexFunc(list, func(g tolerance.Share) bool { return g.Name == name })
	if at < 0 {
		return append(list, tolerance.Share{Name: name, Share: weight})
	}
	list[at].Share += weight
	return list
}
