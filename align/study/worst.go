package study

import (
	"context"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/stackup"
	"example.com/borestack/tolerance"
)

// worst works out the worst case of every output, or names the input that has none: exactly where the
// output is additive and nothing floats, by search otherwise.
func (g *group) worst(ctx context.Context, l *linear, out []*Varied) error {
	bounded := *l.study
	bounded.Inputs = g.varies.inputs
	name := bounded.Unbounded()
	for n, v := range out {
		var err error
		switch what := v.Limit.Output.What; {
		case name != "":
			v.Unbounded = name
		case g.anyFloat() || !quantity.Of(what).Additive:
			v.Worst, err = g.search(ctx, n)
		case sized(what):
			least, greatest, _ := l.model.WorstSize(&bounded, l.column[n], l.column[n]+1)
			v.Worst = &Worst{tolerance.Given(l.scale[n] * least.Value), tolerance.Given(l.scale[n] * greatest.Value), true}
		default:
			least, greatest, _ := l.model.WorstScalar(&bounded, l.column[n])
			v.Worst = &Worst{tolerance.Given(least.Value), tolerance.Given(greatest.Value), true}
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// anyFloat reports whether some joint does not lie at rest or hang.
func (g *group) anyFloat() bool {
	return slices.ContainsFunc(g.lies, func(l align.Lie) bool { return l != align.LiesRest && l != align.LiesHang })
}

// search finds the worst case of output n of the group in full: at corners and rims where the output is
// convex, its other end by cutting planes. Of whether the box assembles there is none.
func (g *group) search(ctx context.Context, n int) (*Worst, error) {
	what := g.limits[g.own[n]].Output.What
	if what == align.Assembles {
		return nil, nil
	}
	lies := slices.Clone(g.lies)
	for i, l := range lies {
		if l == align.LiesUniform || l == align.LiesRim {
			lies[i] = align.LiesAny
		}
	}
	set := stackup.SearchSettings{}
	if g.anyFloat() {
		set.Evaluations = floatEvaluations
	}
	worst, err := g.study(lies, false, g.own[n:n+1])
	if err != nil {
		return nil, err
	}
	best, err := g.study(lies, true, g.own[n:n+1])
	if err != nil {
		return nil, err
	}
	sign := 1.0
	if what == align.Margin {
		sign = -1
	}
	far, err := worst.Search(ctx, 0, sign, set)
	if err != nil {
		return nil, err
	}
	var near stackup.Extreme
	if sized(what) || lineWide(what) { // convex in positions to first order, or minus a margin is
		near.Value, err = nearest(ctx, best, 0, -sign)
	} else {
		near, err = best.Search(ctx, 0, -sign, set)
	}
	w := &Worst{Least: finite(near.Value), Greatest: finite(far.Value)}
	if sign < 0 {
		w.Least, w.Greatest = w.Greatest, w.Least
	}
	return w, err
}

// floatEvaluations bounds a search in which every evaluation is itself a search over the float.
const floatEvaluations = 1000
