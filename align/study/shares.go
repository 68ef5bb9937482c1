package study

import (
	"cmp"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// UncertaintyShares says which sets of readings the uncertainty of an output of a stack comes from, the largest share first;
// none where no stated uncertainty moves it.
func UncertaintyShares(s align.Stack, o align.Output) ([]tolerance.Share, error) {
	sources := GaugeSources(&s)
	e, err := GaugeEffects(s, sources, []align.Output{o})
	if err != nil {
		return nil, err
	}
	var out []tolerance.Share
	var total float64
	for i := range sources {
		d := e[0][i] * e[0][i]
		total += d
		if n := len(out); n > 0 && out[n-1].Name == sources[i].Set {
			out[n-1].Share += d
		} else {
			out = append(out, tolerance.Share{Name: sources[i].Set, Share: d})
		}
	}
	if total == 0 {
		return nil, nil
	}
	for i := range out {
		out[i].Share /= total
	}
	slices.SortStableFunc(out, func(x, y tolerance.Share) int { return cmp.Compare(y.Share, x.Share) })
	return out, nil
}
