package study

import (
	"context"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/stackup"
	"example.com/borestack/tolerance"
)

// worstCase is the worst case of one output, or the input that has none.
type worstCase struct {
	Worst     *Worst
	Unbounded string
}

// worst works out the worst case of every output: exactly where the output is additive and nothing
// floats, by search otherwise.
func (g *group) worst(ctx context.Context, l *linear) ([]worstCase, error) {
	out := make([]worstCase, len(g.own))
	bounded := *l.study
	bounded.Inputs = g.varies.inputs
	name := bounded.Unbounded()
	floats := g.anyFloat()
	var search []int
	for n, k := range g.own {
		what := g.limits[k].Output.What
		if name != "" {
			out[n].Unbounded = name
			continue
		}
		if floats || !quantity.Of(what).Additive {
			search = append(search, n)
			continue
		}
		w := &Worst{Exact: true}
		if sized(what) {
			least, greatest, _ := l.model.WorstSize(&bounded, l.column[n], l.column[n]+1)
			w.Least, w.Greatest = tolerance.Given(l.scale[n]*least.Value), tolerance.Given(l.scale[n]*greatest.Value)
		} else {
			least, greatest, _ := l.model.WorstScalar(&bounded, l.column[n])
			w.Least, w.Greatest = tolerance.Given(least.Value), tolerance.Given(greatest.Value)
		}
		out[n].Worst = w
	}
	return out, g.search(ctx, search, out)
}

// anyFloat reports whether some joint does not lie at rest or hang.
func (g *group) anyFloat() bool {
	return slices.ContainsFunc(g.lies, func(l align.Lie) bool { return l != align.LiesRest && l != align.LiesHang })
}

// search finds the worst cases of the listed outputs in full: at corners and rims where the output
// is convex, its other end by cutting planes.
func (g *group) search(ctx context.Context, list []int, out []worstCase) error {
	if len(list) == 0 {
		return nil
	}
	lies := make([]align.Lie, len(g.lies))
	for i, l := range g.lies {
		if lies[i] = l; l == align.LiesUniform || l == align.LiesRim {
			lies[i] = align.LiesAny
		}
	}
	set := stackup.SearchSettings{}
	if g.anyFloat() {
		set.Evaluations = floatEvaluations
	}
	for _, n := range list {
		what := g.limits[g.own[n]].Output.What
		if what == align.Assembles {
			continue
		}
		worst, err := g.study(lies, false, g.own[n:n+1])
		if err != nil {
			return err
		}
		best, err := g.study(lies, true, g.own[n:n+1])
		if err != nil {
			return err
		}
		sign := 1.0
		if what == align.Margin {
			sign = -1
		}
		far, err := worst.Search(ctx, 0, sign, set)
		if err != nil {
			return err
		}
		var near float64
		if convex(what) {
			near, err = nearest(ctx, best, 0, -sign)
		} else {
			var e stackup.Extreme
			e, err = best.Search(ctx, 0, -sign, set)
			near = e.Value
		}
		if err != nil {
			return err
		}
		w := &Worst{Least: finite(near), Greatest: finite(far.Value)}
		if sign < 0 {
			w.Least, w.Greatest = w.Greatest, w.Least
		}
		out[n].Worst = w
	}
	return nil
}

// floatEvaluations bounds a search in which every evaluation is itself a search over the float.
const floatEvaluations = 1000

// convex reports whether an output, or minus a margin, is convex in positions to first order.
func convex(q align.Quantity) bool { return sized(q) || lineWide(q) }
