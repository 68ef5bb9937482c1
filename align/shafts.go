package align

import (
	"math"
	"slices"

	"example.com/borestack/align/internal/shaftline"
	"example.com/borestack/tolerance"
)

// shaftLine works out use, margin, what governs and the best straight shafts, the joints where they
// lie.
func (k *kernel) shaftLine() (*ShaftLine, error) {
	governing := func(by shaftline.Measure) (float64, []tolerance.Share, error) {
		return k.governors(by, func(_ float64, each func(member int, weight float64)) { k.line.GovernWeights(by, each) })
	}
	use, governs, err := governing(shaftline.ByUtilisation)
	if err != nil {
		return nil, err
	}
	lack, caps, err := k.governors(shaftline.ByMargin, func(lack float64, each func(member int, weight float64)) {
		for c, w := range k.line.Caps(lack) {
			if w > shaftline.Governs {
				each(c, w)
			}
		}
	})
	if err != nil {
		return nil, err
	}
	out := &ShaftLine{Margin: tolerance.Length(-lack), Governs: governs, MarginGoverns: caps}
	if math.IsInf(use, 1) {
		_, out.Governs, err = governing(shaftline.ByMargin)
		return out, err
	}
	out.Use, out.RunsFree = tolerance.Given(use), use <= 1
	for _, g := range k.lay.groups {
		own, err := k.line.Solve(g, shaftline.ByUtilisation)
		if err != nil {
			return nil, err
		}
		lines, err := k.line.BestLines(g, own, use)
		if err != nil {
			return nil, err
		}
		for n, s := range g {
			l := &lines[n]
			out.Shafts = append(out.Shafts, StraightShaft{
				Name: k.stack.Shafts[s].Name, AtZero: Vec2{tolerance.Length(l.X), tolerance.Length(l.Y)}, Slope: Slope{l.SX, l.SY},
			})
		}
	}
	return out, nil
}

// governors is the use or lack of room, with the supports and pockets that govern it as weigh says of
// the group last solved, the largest first; of several groups that are as bad, those of all.
func (k *kernel) governors(by shaftline.Measure, weigh func(value float64, each func(member int, weight float64))) (worst float64, list []tolerance.Share, err error) {
	worst = math.Inf(-1)
	values := make([]float64, len(k.lay.groups))
	lists := make([][]tolerance.Share, len(k.lay.groups))
	for n, g := range k.lay.groups {
		if values[n], err = k.line.Solve(g, by); err != nil {
			return 0, nil, err
		}
		worst = math.Max(worst, values[n])
		weigh(values[n], func(member int, weight float64) { lists[n] = k.addGovernor(lists[n], member, weight) })
	}
	for n, v := range values {
		if v == worst || shaftline.Same(v, worst) {
			list = append(list, lists[n]...)
		}
	}
	return worst, shares(list), nil
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
