package form

import (
	"errors"
	"math"

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

	short []int // points that strayed when all were last looked at
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
func (s *strip) first(tip [4]float64) [maxUnknowns]active {
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
		slope := -tip[k] // of the objective along unknown k
		slope += s.a[top*s.m+k]
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

// solve runs the exchange. It reports whether it ended at an optimum.
//
// Where contacts tie, exchanges without gain may go round in a circle. The objective is then tipped
// by so little of every displacement that no weights are zero, and the exchange starts again: its
// result is optimal but for that.
func (s *strip) solve() (solution, bool) {
	if sol, ok := s.exchange([4]float64{}); ok {
		return sol, true
	}
	sol, ok := s.exchange(tipped())
	return sol, ok && s.settle(&sol, [4]float64{})
}

// tipped is the share of the displacements in a tipped objective; it has no pattern that contacts
// could have.
func tipped() [4]float64 { return [4]float64{1e-12, -0.618e-12, 0.414e-12, -0.732e-12} }

func (s *strip) exchange(tip [4]float64) (solution, bool) {
	const (
		rounds  = 2000
		strayed = 1e-15 // of deviations in a cloud of size 1: rounding
		blurred = 1e-12 // rounding where contacts hardly hold: two bases may then follow each other
		patient = 60    // exchanges without gain
	)
	n := s.unknowns()
	sol := solution{basis: s.first(tip), size: n}
	s.short = s.short[:0]
	still, value := 0, math.Inf(-1)
	for range rounds {
		if !s.settle(&sol, tip) {
			return sol, false
		}
		if sol.value > value+strayed {
			still, value = 0, sol.value
		} else {
			still++
		}
		enter, by := s.price(&sol, strayed)
		if by <= strayed || still > patient && by <= blurred {
			return sol, true
		}
		if still > patient && tip == [4]float64{} {
			return sol, false
		}
		for _, b := range sol.basis[:n] {
			if b == enter {
				return sol, true // only rounding is left
			}
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
func (s *strip) settle(sol *solution, tip [4]float64) bool {
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
		for k := range s.m {
			sol.weight[r] -= inv[k][r] * tip[k]
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

// price returns the constraint that enters the basis and by how much it is violated: one that
// strays most. Looking at all points costs most of an exchange, so that it keeps a short list of
// the worst of every block of points and looks at those until none of them strays.
func (s *strip) price(sol *solution, tol float64) (active, float64) {
	v := pricing{strip: s, x: sol.x[:s.m], hi: sol.hi, lo: sol.lo}
	if s.one {
		v.lo = math.Inf(-1)
	}
	for k := range s.m {
		if e := sol.x[k] - s.box; e > v.by {
			v.worst, v.by = active{wallUp, k}, e
		}
		if e := -sol.x[k] - s.box; e > v.by {
			v.worst, v.by = active{wallDown, k}, e
		}
	}
	for _, i := range s.short {
		v.look(i)
	}
	// A contact of the basis may stray by rounding and hide the points that are not on the list.
	const rounding = 100
	if v.by > rounding*tol {
		return v.worst, v.by
	}
	const blocks, fewest = 64, 256
	if len(s.d) <= fewest {
		for i := range s.d {
			v.look(i)
		}
		return v.worst, v.by
	}
	s.short = s.short[:0]
	best, by := v.worst, v.by
	step := (len(s.d) + blocks - 1) / blocks
	for from := 0; from < len(s.d); from += step {
		v.by = tol
		for i := from; i < min(from+step, len(s.d)); i++ {
			v.look(i)
		}
		if v.by > tol {
			s.short = append(s.short, v.worst.row)
		}
		if v.by > by {
			best, by = v.worst, v.by
		}
	}
	return best, by
}

// pricing keeps the constraint that is violated most of those looked at.
type pricing struct {
	strip  *strip
	x      []float64
	hi, lo float64
	worst  active
	by     float64
}

func (v *pricing) look(i int) {
	d, moved := v.strip.d[i], 0.0
	for k, a := range v.strip.a[i*len(v.x) : (i+1)*len(v.x)] {
		moved += a * v.x[k]
	}
	d -= moved
	if e := d - v.hi; e > v.by {
		v.worst, v.by = active{high, i}, e
	} else if e := v.lo - d; e > v.by {
		v.worst, v.by = active{low, i}, e
	}
}
