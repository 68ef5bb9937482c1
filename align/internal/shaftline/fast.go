package shaftline

import (
	"math"

	"example.com/borestack/align/internal/dense"
)

// loadFast lays a group out for the fast method; false when it does not suit.
func (l *Solver) loadFast(group []int) bool {
	c := &l.fast
	if len(l.Members) > fastCircles || 2*len(group) > fastLines {
		return false
	}
	c.m, c.n, c.gap = len(l.Members), 2*len(group), fastGap
	if l.Rough {
		c.gap = roughGap
	}
	f := l.Frame(group) // takes a first line off the centres, so that small distances keep their digits
	for i, m := range l.Members {
		c.a[i] = [fastLines]float64{}
		l.Coefficients(c.a[i][:], m, f.Mid, f.Half)
		c.p[i] = [2]float64{l.px[i], l.py[i]}
	}
	return true
}

// setRadii sets ρ_i = room_i + s.
func (l *Solver) setRadii(s float64) {
	c := &l.fast
	for i, m := range l.Members {
		c.rho[i] = l.Circles[m].Radius + s
		c.iq[i] = 1 / (c.rho[i] * c.rho[i])
	}
}

// begin sets the first weights. Where there are two sums of centres that no line changes, each
// circle left out in turn gives a sum of the others with a closed form; the greatest λ among them
// is mostly the answer, and then its weights prove it at once. Otherwise, and where a hint says
// nothing, every circle pulls alike.
func (l *Solver) begin() {
	c := &l.fast
	c.sure = false
	best, out := 0.0, -1
	if l.Two && l.Hint == nil {
		for i := range c.m {
			if off, rooms, _ := l.without(i, nil); rooms > 0 && off > best*rooms {
				best, out = off/rooms, i
			}
		}
	}
	var sum float64
	if l.Hint != nil {
		for i, y := range l.Hint {
			c.mu[i] = dense.Length(y[0], y[1]) * c.rho[i]
			sum += c.mu[i]
		}
		c.sure = sum > 0
	} else if out >= 0 {
		l.without(out, &c.mu)
		c.sure = true
	}
	if !c.sure {
		copy(c.mu[:], c.rho[:c.m])
	}
	sum = 0
	for i := range c.m {
		sum += c.mu[i]
	}
	for i := range c.m {
		c.mu[i] = math.Max(c.mu[i]/sum, minorMost/10)
	}
}

// without is the sum of centres that leaves circle out out: |Σ w p|, Σ |w| ρ and Σ |w|; with mu it
// sets μ_i = |w_i| ρ_i.
func (l *Solver) without(out int, mu *[fastCircles]float64) (off, rooms, weight float64) {
	c := &l.fast
	a, b := l.Second[out], -l.Weights[out]
	var x, y float64
	for i := range c.m {
		w := a*l.Weights[i] + b*l.Second[i]
		x += w * c.p[i][0]
		y += w * c.p[i][1]
		v := math.Abs(w) * c.rho[i]
		rooms, weight = rooms+v, weight+math.Abs(w)
		if mu != nil {
			mu[i] = v
		}
	}
	return dense.Length(x, y), rooms, weight
}

// fastMultipliers sets the group's multipliers from the weights: y_i = μ_i d_i / (ρ_i² λ), and
// returns Σ |y_i|.
func (l *Solver) fastMultipliers(lambda float64) (sum float64) {
	c := &l.fast
	for i := range c.m {
		l.Multipliers[i] = [2]float64{}
		if lambda > 0 {
			w := c.mu[i] * c.iq[i] / lambda
			l.Multipliers[i] = [2]float64{w * c.d[i][0], w * c.d[i][1]}
			sum += dense.Length(l.Multipliers[i][0], l.Multipliers[i][1])
		}
	}
	return sum
}

// fastUtilisation is the use of one group by the fast method; false when it does not suit or does
// not prove itself.
func (l *Solver) fastUtilisation() (float64, bool) {
	c := &l.fast
	for _, m := range l.Members {
		if l.Circles[m].Radius <= 0 {
			return 0, false
		}
	}
	l.setRadii(0)
	l.begin()
	if !c.solve(nil) {
		return 0, false
	}
	lambda := math.Sqrt(c.g)
	l.fastMultipliers(lambda)
	l.Gap = math.Sqrt(c.worst) - lambda
	return lambda, true
}

// hinted is the lack of room that the hinted multipliers prove.
func (l *Solver) hinted() float64 {
	var along, rooms, sum float64
	for i, y := range l.Hint {
		q, size := &l.Circles[l.Members[i]], dense.Length(y[0], y[1])
		along += y[0]*q.X + y[1]*q.Y
		rooms += size * q.Radius
		sum += size
	}
	return (along - rooms) / sum
}

// proved is a lack of room that is known before the search: what the hinted multipliers prove or, of
// two moments, the greatest that leaving one circle out does; minus infinity: none is.
func (l *Solver) proved() float64 {
	most := math.Inf(-1)
	if l.Hint != nil {
		return l.hinted()
	}
	if !l.Two {
		return most
	}
	l.setRadii(0)
	for i := range l.fast.m {
		if off, rooms, weight := l.without(i, nil); weight > 0 {
			most = math.Max(most, (off-rooms)/weight)
		}
	}
	return most
}

// Where the search for the margin begins: so much above its floor, as a share of the widest radius,
// but of no less than this one in mm, that every r + s is positive.
const (
	aboveFloor = 1e-7
	leastWide  = 1e-3
)

// fastMargin is the lack of room of one group: the s at which the use with rooms r + s is 1, found
// from below (W. Dinkelbach, 1967); not less than minus the least room.
func (l *Solver) fastMargin() (float64, bool) {
	c := &l.fast
	floor := -l.LeastRadius()
	s, atFloor := floor+aboveFloor*math.Max(l.widestRadius(), leastWide), true
	if v := l.proved(); v > s {
		s, atFloor = v, false
	}
	first := true
	for range fastSteps {
		l.setRadii(s)
		if first {
			l.begin()
			first = false
		}
		if !c.solve(func(below, above float64) bool {
			if atFloor && above <= 1 {
				return true
			}
			// far from the root a rough answer leads on as well
			low := math.Sqrt(below)
			return low > 1 && math.Sqrt(above)-low < 0.1*(low-1)*math.Min(1, low-1)
		}) {
			return 0, false
		}
		if atFloor && c.worst <= 1 {
			for i := range l.Multipliers {
				l.Multipliers[i] = [2]float64{}
			}
			return floor, true
		}
		atFloor = false
		lambda := math.Sqrt(c.g)
		sum := l.fastMultipliers(lambda)
		if !(sum > 0) {
			return 0, false
		}
		for i := range l.Multipliers {
			l.Multipliers[i][0] /= sum
			l.Multipliers[i][1] /= sum
		}
		step := (lambda - 1) / sum
		s += step
		if math.Abs(lambda-1) <= 10*c.gap {
			l.Gap = math.Abs(step) + (math.Sqrt(c.worst)-lambda)/sum
			return s, true
		}
	}
	return 0, false
}
