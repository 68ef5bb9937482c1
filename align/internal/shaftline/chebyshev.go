package shaftline

import "math"

// Limits of the fast method; larger groups go to the cone program.
const (
	fastCircles = 32
	fastLines   = 8 // coefficients a component: two a shaft
	fastSteps   = 40
	fastGap     = 1e-10 // of the use
	roughGap    = 1e-4  // where only the way is asked for

	lostPivot   = 1e-16 // share of a diagonal entry below which nothing is left of it
	noLoss      = 1e-9  // share of g that a Newton step may lose to rounding
	ownLine     = 1e-3  // a minor circle with a greater say holds a line that the others leave free
	leastChange = 1e-13 // of the trace: where the weights are not unique, the step is the shortest

	// Weights of circles that do not govern: enough to hold a line that the others leave free, too
	// little to cost the proof anything.
	minorMost  = 1e-11
	minorLeast = 1e-14
)

// chebyshev finds the least λ with |p_i - ℓ(z_i)| ≤ λ ρ_i over lines by its dual: for weights μ ≥
// 0, Σ μ = 1, the weighted least squares g(μ) = min Σ μ_i |p_i - ℓ(z_i)|²/ρ_i² is never more than
// λ², and its greatest over μ is λ². Its gradient is e_i = |d_i|²/ρ_i² at the fitted lines, so max
// √e_i - √g proves how near it is. Steps are Newton's on the weights in use, multiplicative (μ_i
// √e_i) where Newton's does not raise g.
//
// Source: C. L. Lawson, 1961, for the multiplicative step, as in J. R. Rice, The Approximation of
// Functions, vol. 2, 1969, 13-10; Newton's step from the derivatives of g, hand calculation.

type chebyshev struct {
	m, n     int
	a        [fastCircles][fastLines]float64 // each circle's coefficients
	p        [fastCircles][2]float64
	rho, iq  [fastCircles]float64 // ρ and 1/ρ²
	mu, e    [fastCircles]float64
	trial    [fastCircles]float64
	d        [fastCircles][2]float64
	chol     [fastLines][fastLines]float64
	w        [fastCircles][fastLines]float64 // L⁻¹ a
	active   [fastCircles]int
	kkt      [fastCircles + 1][fastCircles + 2]float64
	g, worst float64
	gap      float64 // of √g and the greatest that is near enough, beside 1 and √g
	sure     bool    // the first weights are near enough for Newton's step
}

// fit finds the weighted least-squares lines for weights mu: d, e, g and worst. False when they are
// not determined.
func (c *chebyshev) fit(mu *[fastCircles]float64) bool {
	n := c.n
	h := &c.chol
	*h = [fastLines][fastLines]float64{}
	var bx, by [fastLines]float64
	for i := range c.m {
		w := mu[i] * c.iq[i]
		if w == 0 {
			continue
		}
		a, p := &c.a[i], &c.p[i]
		for r := range n {
			v := w * a[r]
			if v == 0 {
				continue
			}
			for s := 0; s <= r; s++ {
				h[r][s] += v * a[s]
			}
			bx[r] += v * p[0]
			by[r] += v * p[1]
		}
	}
	if !c.lines(&bx, &by) {
		return false
	}
	c.g, c.worst = 0, 0
	for i := range c.m {
		x, y := c.p[i][0], c.p[i][1]
		a := &c.a[i]
		for r := range n {
			x -= a[r] * bx[r]
			y -= a[r] * by[r]
		}
		c.d[i] = [2]float64{x, y}
		e := (x*x + y*y) * c.iq[i]
		c.e[i] = e
		c.g += mu[i] * e
		c.worst = math.Max(c.worst, e)
	}
	return true
}

// lines factors chol in place, the diagonal inverted, and solves for the lines; false when they are
// not determined.
func (c *chebyshev) lines(bx, by *[fastLines]float64) bool {
	n, h := c.n, &c.chol
	for j := range n {
		d := h[j][j]
		floor := lostPivot * d
		for s := range j {
			d -= h[j][s] * h[j][s]
		}
		if !(d > floor) || d <= 0 {
			return false
		}
		inv := 1 / math.Sqrt(d)
		h[j][j] = inv // the inverse, for solving
		for r := j + 1; r < n; r++ {
			v := h[r][j]
			for s := range j {
				v -= h[r][s] * h[j][s]
			}
			h[r][j] = v * inv
		}
	}
	for r := range n {
		x, y := bx[r], by[r]
		for s := range r {
			x -= h[r][s] * bx[s]
			y -= h[r][s] * by[s]
		}
		bx[r], by[r] = x*h[r][r], y*h[r][r]
	}
	for r := n - 1; r >= 0; r-- {
		x, y := bx[r], by[r]
		for s := r + 1; s < n; s++ {
			x -= h[s][r] * bx[s]
			y -= h[s][r] * by[s]
		}
		bx[r], by[r] = x*h[r][r], y*h[r][r]
	}
	return true
}

// solve improves mu until the proof holds. It stops early when enough says so of λ² from below and
// above.
func (c *chebyshev) solve(enough func(below, above float64) bool) bool {
	if !c.fit(&c.mu) {
		return false
	}
	for step := range fastSteps {
		low, high := math.Sqrt(c.g), math.Sqrt(c.worst)
		if high-low <= c.gap*(1+low) || (enough != nil && enough(c.g, c.worst)) {
			return true
		}
		before := c.g
		if (step >= 2 || c.sure) && c.newton() {
			if c.fit(&c.trial) && c.g >= before*(1-noLoss) {
				c.mu = c.trial
				continue
			}
			if !c.fit(&c.mu) {
				return false
			}
		}
		for i := range c.m {
			c.trial[i] = math.Max(c.mu[i]*math.Sqrt(c.e[i]), minorLeast)
		}
		c.share()
		if !c.fit(&c.trial) {
			return false
		}
		c.mu = c.trial
	}
	return false
}

// newton sets trial to Newton's step on the weights that count, kept at or above the least; false
// when there is none.
func (c *chebyshev) newton() bool {
	n := c.counting()
	for n > 1 {
		if !c.newtonOn(n) {
			return false
		}
		// a minor weight that would go down stays out
		kept := 0
		for a := range n {
			i := c.active[a]
			if c.mu[i] <= minorMost && c.kkt[a][n+1] <= 0 {
				continue
			}
			c.active[kept] = i
			kept++
		}
		if kept == n {
			break
		}
		n = kept
	}
	if n < 2 {
		return false
	}
	c.step(n)
	return true
}

// counting lists in active the weights that count, and returns how many there are: those that are
// not minor, and those that a step would raise, but for one that holds a line which the others leave
// free.
func (c *chebyshev) counting() (n int) {
	for i := range c.m {
		c.forward(i)
		if c.mu[i] > minorMost {
			c.active[n] = i
			n++
			continue
		}
		if c.e[i] <= c.g {
			continue
		}
		var own float64 // share of the circle's own say in where its line lies
		for r := range c.n {
			own += c.w[i][r] * c.w[i][r]
		}
		if own *= c.mu[i] * c.iq[i]; own < ownLine {
			c.active[n] = i
			n++
		}
	}
	return n
}

// step sets trial to the weights after the step in kkt on the n active ones, as far as none is less
// than nothing. Minor weights that only hold a free line move by the multiplicative rule among
// themselves.
func (c *chebyshev) step(n int) {
	length := 1.0
	for a := range n {
		if step := c.kkt[a][n+1]; step < 0 {
			length = math.Min(length, -c.mu[c.active[a]]/step)
		}
	}
	for i := range c.m {
		c.trial[i] = c.mu[i]
		if c.mu[i] <= minorMost {
			c.trial[i] *= math.Sqrt(c.e[i] / c.g)
		}
		c.trial[i] = math.Max(c.trial[i], minorLeast)
		if c.mu[i] <= minorMost {
			c.trial[i] = math.Min(c.trial[i], minorMost)
		}
	}
	for a := range n {
		i := c.active[a]
		c.trial[i] = c.mu[i] + length*c.kkt[a][n+1]
		if !(c.trial[i] > minorMost) {
			c.trial[i] = minorMost / 10
		}
	}
	c.share()
}

// share makes the trial weights add up to 1.
func (c *chebyshev) share() {
	var sum float64
	for i := range c.m {
		sum += c.trial[i]
	}
	for i := range c.m {
		c.trial[i] /= sum
	}
}

// forward sets w_i = L⁻¹ a_i.
func (c *chebyshev) forward(i int) {
	w, a := &c.w[i], &c.a[i]
	for r := range c.n {
		v := a[r]
		for s := range r {
			v -= c.chol[r][s] * w[s]
		}
		w[r] = v * c.chol[r][r]
	}
}

// newtonOn solves e + H Δ = ν, Σ Δ = 0 over the first n active weights, H_ij = -2
// (d_i·d_j)(a_iᵀM⁻¹a_j)/(ρ_i²ρ_j²); Δ is left in the last column of kkt.
func (c *chebyshev) newtonOn(n int) bool {
	k := &c.kkt
	var trace float64
	for a := range n {
		i := c.active[a]
		for b := 0; b <= a; b++ {
			j := c.active[b]
			var v float64
			for r := range c.n {
				v += c.w[i][r] * c.w[j][r]
			}
			v *= 2 * (c.d[i][0]*c.d[j][0] + c.d[i][1]*c.d[j][1]) * c.iq[i] * c.iq[j]
			k[a][b], k[b][a] = v, v
		}
		trace += k[a][a]
		k[a][n], k[n][a] = 1, 1
		k[a][n+1] = c.e[i]
	}
	k[n][n], k[n][n+1] = 0, 0
	for a := range n {
		k[a][a] += leastChange * trace
	}
	// Gaussian elimination with partial pivoting
	size := n + 1
	for col := range size {
		at := col
		for r := col + 1; r < size; r++ {
			if math.Abs(k[r][col]) > math.Abs(k[at][col]) {
				at = r
			}
		}
		if k[at][col] == 0 {
			return false
		}
		if at != col {
			k[at], k[col] = k[col], k[at]
		}
		inv := 1 / k[col][col]
		top := k[col][col+1 : size+1]
		for r := col + 1; r < size; r++ {
			f := k[r][col] * inv
			if f == 0 {
				continue
			}
			row := k[r][col+1 : size+1]
			for s, v := range top {
				row[s] -= f * v
			}
		}
	}
	for r := size - 1; r >= 0; r-- {
		v := k[r][size]
		for s := r + 1; s < size; s++ {
			v -= k[r][s] * k[s][size]
		}
		k[r][size] = v / k[r][r]
	}
	return true
}
