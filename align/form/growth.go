package form

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"example.com/borestack/tolerance"
)

// growth is the rate g at which the strip widens at least as the feature leaves its optimum: value(x) ≥ value + g·|x|, for all points, because it holds for the contacts alone. It is 0 when they leave some direction free.
//
// g is the radius of the largest ball about 0 in the hull of the differences a_low - a_high: the least height of a supporting plane. Those of facets go through m vertices; the planes through any other m vertices are no lower than the lowest.
func (s *strip) growth(sol *solution) float64 {
	var v [][]float64
	var tops, bottoms [][]float64
	for r, c := range sol.basis[:sol.size] {
		if c.kind != high && c.kind != low {
			// A wall without weight leaves the contacts one short.
			return 0
		}
		if sol.weight[r] <= 0 {
			return 0
		}
		a := s.a[c.row*s.m : (c.row+1)*s.m]
		if c.kind == high {
			tops = append(tops, a)
		} else {
			bottoms = append(bottoms, a)
		}
	}
	zero := [][]float64{make([]float64, s.m)}
	if s.side == onlyHigh {
		bottoms = zero
	}
	if s.side == onlyLow {
		tops = zero
	}
	for _, t := range tops {
		for _, b := range bottoms {
			d := make([]float64, s.m)
			for k := range d {
				d[k] = b[k] - t[k]
			}
			v = append(v, d)
		}
	}
	least := math.Inf(1)
	chosen := make([]int, 0, s.m)
	var choose func(from int)
	choose = func(from int) {
		if len(chosen) == s.m {
			if n, ok := normalThrough(v, chosen); ok {
				up, down := math.Inf(-1), math.Inf(-1)
				for _, w := range v {
					h := 0.0
					for k, x := range w {
						h += x * n[k]
					}
					up, down = math.Max(up, h), math.Max(down, -h)
				}
				least = math.Min(least, math.Min(up, down))
			}
			return
		}
		for i := from; i < len(v); i++ {
			chosen = append(chosen, i)
			choose(i + 1)
			chosen = chosen[:len(chosen)-1]
		}
	}
	choose(0)
	if math.IsInf(least, 1) {
		return 0
	}
	return math.Max(least, 0)
}

// normalThrough is the unit vector square to the plane through the chosen vertices; it fails when they do not span one.
func normalThrough(v [][]float64, chosen []int) ([4]float64, bool) {
	var e [3][4]float64
	m := len(chosen)
	for r := range m - 1 {
		for k := range m {
			e[r][k] = v[chosen[r+1]][k] - v[chosen[0]][k]
		}
	}
	// Eliminate with pivots from the whole matrix; the column left over is free.
	var at [3]int
	taken := [4]bool{}
	for r := range m - 1 {
		best, pr, pk := 0.0, r, 0
		for i := r; i < m-1; i++ {
			for k := range m {
				if x := math.Abs(e[i][k]); !taken[k] && x > best {
					best, pr, pk = x, i, k
				}
			}
		}
		const flat = 1e-14
		if best <= flat {
			return [4]float64{}, false
		}
		e[r], e[pr] = e[pr], e[r]
		at[r], taken[pk] = pk, true
		for i := range m - 1 {
			if f := e[i][pk] / e[r][pk]; i != r && f != 0 {
				for k := range m {
					e[i][k] -= f * e[r][k]
				}
			}
		}
	}
	var n [4]float64
	free := 0
	for taken[free] {
		free++
	}
	n[free] = 1
	size := 1.0
	for r := range m - 1 {
		n[at[r]] = -e[r][free] / e[r][at[r]]
		size += n[at[r]] * n[at[r]]
	}
	for k := range n {
		n[k] /= math.Sqrt(size)
	}
	return n, true
}

// unbalance is the largest component of the weighted sum of the contacts' directions, which cancel at an optimum.
func (s *strip) unbalance(sol *solution) float64 {
	var most float64
	for k := range s.m {
		var v float64
		for r, c := range sol.basis[:sol.size] {
			switch c.kind {
			case high:
				v += sol.weight[r] * s.a[c.row*s.m+k]
			case low:
				v -= sol.weight[r] * s.a[c.row*s.m+k]
			}
		}
		most = math.Max(most, math.Abs(v))
	}
	return most
}

// weights writes the multipliers into the contacts of a deviation; a contact that rounding kept off the list is added.
func (sol *solution) weights(dev *Deviation) {
	for r, c := range sol.basis[:sol.size] {
		w := math.Max(sol.weight[r], 0)
		switch c.kind {
		case high:
			dev.High = weigh(dev.High, c.row, w)
		case low:
			dev.Low = weigh(dev.Low, c.row, w)
		}
	}
}

func weigh(list []Contact, row int, w float64) []Contact {
	for i := range list {
		if list[i].Row == row {
			list[i].Weight = w
			return list
		}
	}
	const felt = 1e-12
	if w <= felt {
		return list
	}
	return append(list, Contact{Row: row, Weight: w})
}

// level is the place in a strip that a covariance speaks of.
type level uint8

const (
	middle level = iota
	top
	bottom
)

// zoneCovariance is that of the displacements and of a level of the strip, in units, when the basis is of contacts alone: y = G⁻¹ b, so C = G⁻¹ diag(u²) G⁻ᵀ. The level comes first or last.
func (c *cloud) zoneCovariance(s *strip, sol *solution, at level, levelFirst bool, dims []float64) *mat.SymDense {
	if c.u == nil {
		return nil
	}
	n, k := sol.size, s.m+1
	hi, lo := s.slots()
	switch {
	case at == top || s.side == onlyHigh:
		lo = hi
	case at == bottom || s.side == onlyLow:
		hi = lo
	}
	first, last := 0, s.m
	if levelFirst {
		first, last = 1, 0
	}
	to := mat.NewDense(k, n, nil)
	for r, b := range sol.basis[:n] {
		if b.kind != high && b.kind != low {
			return nil
		}
		// b is -d for a high contact and d for a low one: the sign is lost in the square.
		for j := range s.m {
			to.Set(first+j, r, sol.inverse[j][r]*c.u[b.row])
		}
		to.Set(last, r, (sol.inverse[hi][r]+sol.inverse[lo][r])/2*c.u[b.row])
	}
	var cov mat.Dense
	cov.Mul(to, to.T())
	return dimensioned(&cov, dims)
}

// zoneSpread is the uncertainty of the form error: of the difference of a high and a low deviation, which moves with those two points and with the contacts that hold the feature.
func (c *cloud) zoneSpread(s *strip, sol *solution) (u tolerance.Optional[tolerance.Length]) {
	if c.u == nil {
		return u
	}
	p, q := 0, 0
	for i, v := range s.d {
		if v > s.d[p] {
			p = i
		}
		if v < s.d[q] {
			q = i
		}
	}
	rows, by := []int{p, q}, []float64{1, -1}
	for r, b := range sol.basis[:sol.size] {
		sign := 1.0
		switch b.kind {
		case high:
			sign = -1
		case low:
		default:
			return u
		}
		move := 0.0
		for k := range s.m {
			move -= sign * (s.a[p*s.m+k] - s.a[q*s.m+k]) * sol.inverse[k][r]
		}
		at := slices.Index(rows, b.row)
		if at < 0 {
			at = len(rows)
			rows, by = append(rows, b.row), append(by, 0)
		}
		by[at] += move
	}
	var v float64
	for i, row := range rows {
		v += by[i] * by[i] * c.u[row] * c.u[row]
	}
	return tolerance.Given(c.length(math.Sqrt(v)))
}
