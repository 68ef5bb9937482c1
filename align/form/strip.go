package form

import (
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// strip is the linear program behind every minimum zone: displace a feature by x so that what is
// left of the points' deviations lies in the narrowest strip.
//
//	minimise   hi - lo
//	subject to lo ≤ d_i - a_i·x ≤ hi for every point i, |x_k| ≤ box
//
// One-sided: minimise hi alone (a circumscribed feature; of an inscribed one, a and d negated).
// It is solved by exchange, the dual simplex method: a basis of as many contacts as unknowns with
// weights that are not negative; the point that strays most from its strip enters, the one whose
// weight reaches 0 first leaves.
//
// Source: E. W. Cheney, Introduction to Approximation Theory, 1966, chapter 2 (exchange for linear
// minimax approximation).
type strip struct {
	m   int       // unknown displacements, 1 to 4
	a   []float64 // n × m
	d   []float64 // n
	one bool      // one-sided
	box float64
}

const maxUnknowns = 6

type vector [maxUnknowns]float64

// active is one constraint of a basis.
type active struct {
	kind kind
	row  int // point, or unknown for a wall of the box
}

type kind uint8

const (
	high kind = iota
	low
	wallUp
	wallDown
)

// solution of a strip. Weights of the high contacts add up to 1, those of the low ones too.
type solution struct {
	x       [4]float64
	hi, lo  float64
	value   float64 // hi - lo, or hi: what was made least
	basis   [maxUnknowns]active
	weight  vector
	inverse [maxUnknowns]vector // of the basis matrix
	size    int                 // unknowns
}

// unknowns are the displacements, then hi, then lo unless the strip is one-sided.
func (s *strip) unknowns() int {
	if s.one {
		return s.m + 1
	}
	return s.m + 2
}

// row returns g and b of one constraint g·y ≤ b.
func (s *strip) row(c active) (g vector, b float64) {
	switch c.kind {
	case high:
		for k, v := range s.a[c.row*s.m : (c.row+1)*s.m] {
			g[k] = -v
		}
		g[s.m] = -1
		return g, -s.d[c.row]
	case low:
		copy(g[:], s.a[c.row*s.m:(c.row+1)*s.m])
		g[s.m+1] = 1
		return g, s.d[c.row]
	case wallUp:
		g[c.row] = 1
	default:
		g[c.row] = -1
	}
	return g, s.box
}

// first returns a basis to start from: the points of greatest and least deviation at the corner of
// the box where they are nearest.
func (s *strip) first() [maxUnknowns]active {
	var basis [maxUnknowns]active
	top, bottom := 0, 0
	for i, v := range s.d {
		if v > s.d[top] {
			top = i
		}
		if v < s.d[bottom] {
			bottom = i
		}
	}
	for k := range s.m {
		slope := s.a[top*s.m+k] // of the objective along unknown k
		if !s.one {
			slope -= s.a[bottom*s.m+k]
		}
		basis[k] = active{wallUp, k}
		if slope < 0 {
			basis[k].kind = wallDown
		}
	}
	basis[s.m], basis[s.m+1] = active{high, top}, active{low, bottom} // a one-sided strip has no second
	return basis
}

// solve runs the exchange. It reports whether it ended at an optimum: contacts that tie may go round
// in a circle without gain.
func (s *strip) solve() (solution, bool) {
	const (
		rounds  = 2000
		strayed = 1e-15 // of deviations in a cloud of size 1: rounding
		blurred = 1e-12 // rounding where contacts hardly hold: two bases may then follow each other
		patient = 60    // exchanges without gain
	)
	n := s.unknowns()
	sol := solution{basis: s.first(), size: n}
	still, value := 0, math.Inf(-1)
	for range rounds {
		if !s.settle(&sol) {
			return sol, false
		}
		if sol.value > value+strayed {
			still, value = 0, sol.value
		} else {
			still++
		}
		enter, by := s.price(&sol)
		switch {
		case by <= strayed || slices.Contains(sol.basis[:n], enter): // only rounding is left
			return sol, true
		case still > patient:
			return sol, by <= blurred
		}
		leave := s.leaving(&sol, enter)
		if leave < 0 {
			return sol, false
		}
		sol.basis[leave] = enter
	}
	return sol, false
}

// leaving is the place in the basis whose weight reaches 0 first as the constraint enters; of
// several, the one with the largest pivot. It is negative when none does.
func (s *strip) leaving(sol *solution, enter active) int {
	const (
		flat = 1e-13
		tie  = 1e-15
	)
	g, _ := s.row(enter)
	leave, least, pivot := -1, math.Inf(1), 0.0
	for r := range sol.size {
		var z float64
		for k := range sol.size {
			z += g[k] * sol.inverse[k][r]
		}
		if z <= flat {
			continue
		}
		if q := math.Max(sol.weight[r], 0) / z; q < least-tie || q <= least+tie && z > pivot {
			leave, least, pivot = r, math.Min(q, least), z
		}
	}
	return leave
}

// settle evaluates a basis: unknowns, weights and the inverse of its matrix.
func (s *strip) settle(sol *solution) bool {
	n := sol.size
	var g [maxUnknowns]vector
	var b vector
	for r := range n {
		g[r], b[r] = s.row(sol.basis[r])
	}
	inv, ok := invert(g, n)
	if !ok {
		return false
	}
	sol.inverse = inv
	var y vector
	// Twice: the second round takes back what the inverse of an ill-conditioned basis leaves, so
	// that contacts lie on the strip's edge.
	for range 2 {
		var left vector
		for r := range n {
			left[r] = b[r]
			for k := range n {
				left[r] -= g[r][k] * y[k]
			}
		}
		for k := range n {
			for r := range n {
				y[k] += inv[k][r] * left[r]
			}
		}
	}
	copy(sol.x[:], y[:s.m])
	sol.hi, sol.value = y[s.m], y[s.m]
	if !s.one {
		sol.lo = y[s.m+1]
		sol.value -= sol.lo
	}
	for r := range n {
		sol.weight[r] = -inv[s.m][r]
		if !s.one {
			sol.weight[r] += inv[s.m+1][r]
		}
	}
	return true
}

// invert inverts the first n rows and columns; one without an inverse fails.
func invert(m [maxUnknowns]vector, n int) (inv [maxUnknowns]vector, ok bool) {
	a := mat.NewDense(n, n, nil)
	for i := range n {
		copy(a.RawRowView(i), m[i][:n])
	}
	var cond mat.Condition
	if err := a.Inverse(a); errors.As(err, &cond) && math.IsInf(float64(cond), 1) {
		return inv, false
	}
	for i := range n {
		copy(inv[i][:], a.RawRowView(i))
	}
	return inv, true
}

// price returns the constraint that enters the basis and by how much it is violated: that which
// strays most.
func (s *strip) price(sol *solution) (worst active, by float64) {
	look := func(kind kind, row int, e float64) {
		if e > by {
			worst, by = active{kind, row}, e
		}
	}
	x := sol.x[:s.m]
	for k, v := range x {
		look(wallUp, k, v-s.box)
		look(wallDown, k, -v-s.box)
	}
	for i, d := range s.d {
		moved := 0.0
		for k, a := range s.a[i*s.m : (i+1)*s.m] {
			moved += a * x[k]
		}
		d -= moved
		if look(high, i, d-sol.hi); !s.one {
			look(low, i, sol.lo-d)
		}
	}
	return worst, by
}
