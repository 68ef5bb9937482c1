package form

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// growth is the rate g at which the strip widens at least as the feature leaves its optimum:
// value(x) ≥ value + g·|x|, for all points, because it holds for the contacts alone. It is 0 when they
// leave some direction free.
//
// g is the radius of the largest ball about 0 in the hull of the differences a_low - a_high: the least
// height of a supporting plane. Those of facets go through m vertices; the planes through any other m
// vertices are no lower than the lowest.
func (s *strip) growth(sol *solution) float64 {
	v := s.differences(sol)
	least := math.Inf(1)
	chosen := make([][]float64, 0, s.m)
	var choose func(from int)
	choose = func(from int) {
		if len(chosen) < s.m {
			for i := from; i < len(v); i++ {
				chosen = append(chosen, v[i])
				choose(i + 1)
				chosen = chosen[:len(chosen)-1]
			}
			return
		}
		n, ok := normalThrough(chosen)
		if !ok {
			return
		}
		up, down := math.Inf(-1), math.Inf(-1)
		for _, w := range v {
			h := floats.Dot(w, n)
			up, down = math.Max(up, h), math.Max(down, -h)
		}
		least = math.Min(least, math.Min(up, down))
	}
	choose(0)
	if math.IsInf(least, 1) {
		return 0
	}
	return math.Max(least, 0)
}

// differences are those of the directions of every low and every high contact that carries weight; of
// a one-sided strip, of 0 and its contacts. There are none where a contact is missing or carries none.
func (s *strip) differences(sol *solution) (v [][]float64) {
	var highs, lows [][]float64
	for r, c := range sol.basis[:sol.size] {
		if c.kind > low || sol.weight[r] <= 0 {
			return nil
		}
		a := s.a[c.row*s.m : (c.row+1)*s.m]
		if c.kind == high {
			highs = append(highs, a)
		} else {
			lows = append(lows, a)
		}
	}
	if s.one {
		lows = [][]float64{make([]float64, s.m)}
	}
	for _, t := range highs {
		for _, b := range lows {
			v = append(v, floats.SubTo(make([]float64, s.m), b, t))
		}
	}
	return v
}

// normalThrough is the unit vector square to the plane through m vertices of m dimensions; it fails
// when they do not span one.
func normalThrough(vertices [][]float64) ([]float64, bool) {
	m := len(vertices)
	edges := mat.NewDense(m-1, m, nil)
	for r := range m - 1 {
		floats.SubTo(edges.RawRowView(r), vertices[r+1], vertices[0])
	}
	const flat = 1e-14 // of directions of length 1: rounding
	var svd mat.SVD
	if !svd.Factorize(edges, mat.SVDFullV) || svd.Values(nil)[m-2] <= flat {
		return nil, false
	}
	var v mat.Dense
	svd.VTo(&v)
	return mat.Col(nil, m-1, &v), true
}

// unbalance is the largest component of the weighted sum of the contacts' directions, which cancel at
// an optimum.
func (s *strip) unbalance(sol *solution) float64 {
	sum := make([]float64, s.m)
	for r, c := range sol.basis[:sol.size] {
		switch c.kind {
		case high:
			floats.AddScaled(sum, sol.weight[r], s.a[c.row*s.m:(c.row+1)*s.m])
		case low:
			floats.AddScaled(sum, -sol.weight[r], s.a[c.row*s.m:(c.row+1)*s.m])
		}
	}
	return floats.Norm(sum, math.Inf(1))
}

// weights writes the multipliers into the lists of high and low contacts; one that rounding kept off
// its list is added.
func (sol *solution) weights(top, bottom *[]Contact) {
	const felt = 1e-12 // of weights that add up to 1: less is rounding
	for r, c := range sol.basis[:sol.size] {
		list := map[kind]*[]Contact{high: top, low: bottom}[c.kind]
		if list == nil { // a wall of the box
			continue
		}
		w := math.Max(sol.weight[r], 0)
		if i := slices.IndexFunc(*list, func(q Contact) bool { return q.Row == c.row }); i >= 0 {
			(*list)[i].Weight = w
		} else if w > felt {
			*list = append(*list, Contact{Row: c.row, Weight: w})
		}
	}
}
