package align

import (
	"fmt"
	"math"
	"slices"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Of the search for a yielding seat.
const (
	yieldSteps  = 200
	yieldGoal   = 1e-13 // of the clamping force and its moments over the ring: what is left out of balance
	yieldDamper = 1e-12 // of the foundation's stiffness, where fewer than three stations bear
)

// clamp is the resultant of bolt loads: the force, and where it acts.
func (j *Joint) clamp() (force, x, y float64) {
	for i, b := range j.Bolts {
		f := j.Yield.load(i)
		force += f
		x += f * float64(b.X)
		y += f * float64(b.Y)
	}
	return force, x / force, y / force
}

// load of bolt i: its own, or the one given for all.
func (y *Yield) load(i int) float64 {
	if len(y.BoltLoads) == 1 {
		return y.BoltLoads[0]
	}
	return y.BoltLoads[i]
}

// yield brings the seat from contact to balance on a foundation: every station carries stiffness × area / n times what it is pressed in by, and the stations together carry the bolts' force and both its moments. It is the least of ½ Σ k max(0, −gap)² + Σ F w at the bolts, which is convex.
//
// Source: foundation of springs that only press (Winkler); Newton's method on its energy.
func (s *pointSeat) yield(j *Joint, cx, cy float64) error {
	force, _, _ := j.clamp()
	n := float64(len(s.stations))
	k := j.Yield.Stiffness * j.Yield.Area / n
	var size float64
	for i := range s.stations {
		size = math.Max(size, math.Hypot(s.stations[i].x-cx, s.stations[i].y-cy))
	}
	// from the contact seat, about the clamping point, arms in units of the ring: the bolts then have no moment
	contact := s.w
	w := [3]float64{-force / (k * n)}
	energy := func(w [3]float64) (e float64, g [3]float64, h [3][3]float64) {
		e, g[0] = force*w[0], force
		for i := range s.stations {
			p := &s.stations[i]
			row := [3]float64{1, (p.x - cx) / size, (p.y - cy) / size}
			press := -p.gap - w[0] - w[1]*row[1] - w[2]*row[2]
			if press <= 0 {
				continue
			}
			e += k * press * press / 2
			for a := range 3 {
				g[a] -= k * press * row[a]
				for b := range 3 {
					h[a][b] += k * row[a] * row[b]
				}
			}
		}
		return e, g, h
	}
	e, g, h := energy(w)
	for range yieldSteps {
		if math.Abs(g[0])+math.Abs(g[1])+math.Abs(g[2]) <= yieldGoal*force {
			break
		}
		for a := range 3 {
			h[a][a] += yieldDamper * k * n
		}
		step, ok := solve3(h, [3]float64{-g[0], -g[1], -g[2]})
		if !ok { // fewer than three stations bear: go down the slope
			for a := range 3 {
				step[a] = -g[a] / (k * n)
			}
		}
		slope := g[0]*step[0] + g[1]*step[1] + g[2]*step[2]
		share := 1.0
		for ; share > 1e-12; share /= 2 {
			next := [3]float64{w[0] + share*step[0], w[1] + share*step[1], w[2] + share*step[2]}
			ne, ng, nh := energy(next)
			if ne <= e+1e-4*share*slope+1e-15*math.Abs(e) {
				w, e, g, h = next, ne, ng, nh
				break
			}
		}
		if share <= 1e-12 {
			break
		}
	}
	if math.Abs(g[0])+math.Abs(g[1])+math.Abs(g[2]) > 1e-6*force {
		return fmt.Errorf("a yielding seat out of balance by %.2g of its bolts' force: %w", (math.Abs(g[0])+math.Abs(g[1])+math.Abs(g[2]))/force, fault.ErrNotConverging)
	}
	wx, wy := w[1]/size, w[2]/size
	s.w = [3]float64{contact[0] + w[0] - wx*cx - wy*cy, contact[1] + wx, contact[2] + wy}
	for i := range s.stations {
		p := &s.stations[i]
		p.gap += w[0] + wx*(p.x-cx) + wy*(p.y-cy)
	}
	return nil
}

// contact describes how a yielding joint presses.
func (s *pointSeat) contact(j *Joint) *Contact {
	out := &Contact{}
	type at struct{ clock, pressure float64 }
	var round []at
	for i := range s.stations {
		p := &s.stations[i]
		pressure := j.Yield.Stiffness * math.Max(0, -p.gap)
		out.Stations = append(out.Stations, StationContact{
			At: Vec2{tolerance.Length(p.x), tolerance.Length(p.y)}, Gap: tolerance.Length(math.Max(0, p.gap)), Pressure: pressure,
		})
		round = append(round, at{float64(tolerance.Clock(p.x, p.y)), pressure})
	}
	slices.SortStableFunc(round, func(a, b at) int {
		switch {
		case a.clock < b.clock:
			return -1
		case a.clock > b.clock:
			return 1
		}
		return 0
	})
	clocks, presses := make([]float64, len(round)), make([]bool, len(round))
	out.Least = math.Inf(1)
	for i, r := range round {
		out.Least, out.Greatest = math.Min(out.Least, r.pressure), math.Max(out.Greatest, r.pressure)
		clocks[i], presses[i] = r.clock, r.pressure > 0
	}
	if from, to, ok := widestOpen(clocks, presses); ok {
		out.Open = tolerance.Given([2]tolerance.Angle{tolerance.Angle(clocks[from]), tolerance.Angle(clocks[to])})
	}
	return out
}

// widestOpen finds, among stations in order round a circle, the stretch without pressure that is widest as
// an angle, from its first station to its last: many stations close together are not wide. Of stretches as
// wide, the one that begins first.
func widestOpen(clocks []float64, presses []bool) (from, to int, found bool) {
	n := len(clocks)
	start := slices.Index(presses, true)
	if start < 0 {
		return 0, n - 1, n > 0
	}
	widest := 0.0
	for i := range n {
		first := (start + i) % n
		if presses[first] || !presses[(first+n-1)%n] {
			continue
		}
		run := 0
		for !presses[(first+run+1)%n] {
			run++
		}
		if w := step(clocks, first, run); !found || w > widest+sameClock || (w > widest-sameClock && first < from) {
			from, to, widest, found = first, (first+run)%n, w, true
		}
	}
	return from, to, found
}

// sameClock is an angle, in radians, that is rounding of stations read in degrees.
const sameClock = 1e-9

// step is the angle from station i to the one that many further on.
func step(clocks []float64, i, on int) float64 {
	d := clocks[(i+on)%len(clocks)] - clocks[i]
	if i+on >= len(clocks) {
		d += 2 * math.Pi
	}
	return d
}
