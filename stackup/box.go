package stackup

import (
	"math"

	"example.com/borestack/stackup/law"
)

// pairReaches are the two intervals of a pair of independent laws.
func pairReaches(in *Input, column int) ([]reach, bool) {
	p, ok := in.Plane.(law.Pair)
	if !ok {
		return nil, false
	}
	var out []reach
	for k, l := range [2]law.Law{p.X, p.Y} {
		lo, hi := l.Support()
		if math.IsInf(lo, 0) || math.IsInf(hi, 0) {
			return nil, false
		}
		r := reach{column: column + k}
		r.centre[0], r.a[0] = (lo+hi)/2, (hi-lo)/2
		out = append(out, r)
	}
	return out, true
}
