package seat

import (
	"fmt"
	"math"
	"slices"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/fault"
)

// Of the search for a yielding seat.
const (
	yieldSteps  = 200
	yieldGoal   = 1e-13 // of the clamping force and its moments over the ring: what is left out of balance
	yieldAgree  = 1e-6  // the same, beyond which there is no answer
	yieldShort  = 1e-12 // share of a step below which none is taken
	yieldDrop   = 1e-4  // share of the drop that the slope promises (L. Armijo, 1966)
	yieldRounds = 1e-15 // of the energy
	yieldDamper = 1e-12 // of the foundation's stiffness, where fewer than three stations bear
)

// Yield brings the seat from contact to balance on a foundation: every station carries stiffness
// (N/mm³) × area / n times what it is pressed in by, and the stations together carry the bolts'
// force and both its moments. It is the least of ½ Σ k max(0, −gap)² + Σ F w at the bolts, which is
// convex.
//
// Source: foundation of springs that only press (Winkler); Newton's method on its energy.
func (s *Solver) Yield(stiffness, area, force, cx, cy float64) error {
	b := bed{stations: s.Stations, k: stiffness * area / float64(len(s.Stations)), force: force, cx: cx, cy: cy}
	for i := range s.Stations {
		b.size = math.Max(b.size, math.Hypot(s.Stations[i].X-cx, s.Stations[i].Y-cy))
	}
	w, left := b.balance()
	if left > yieldAgree*force {
		return fmt.Errorf("a yielding seat out of balance by %.2g of its bolts' force: %w", left/force, fault.ErrNotConverging)
	}
	wx, wy := w[1]/b.size, w[2]/b.size
	s.Shift = [3]float64{s.Shift[0] + w[0] - wx*cx - wy*cy, s.Shift[1] + wx, s.Shift[2] + wy}
	for i := range s.Stations {
		p := &s.Stations[i]
		p.Gap += w[0] + wx*(p.X-cx) + wy*(p.Y-cy)
	}
	return nil
}

// bed is a foundation of springs, k each, that a force presses on at (cx, cy). Its seats are told from
// the contact seat, about that point, slopes times the ring's size: the bolts then have no moment.
type bed struct {
	stations         []Station
	k, force, cx, cy float64
	size             float64
}

// energy is that of a seat, with its slope and curvature.
func (q *bed) energy(w [3]float64) (e float64, g [3]float64, h [3][3]float64) {
	e, g[0] = q.force*w[0], q.force
	for i := range q.stations {
		p := &q.stations[i]
		row := [3]float64{1, (p.X - q.cx) / q.size, (p.Y - q.cy) / q.size}
		press := -p.Gap - w[0] - w[1]*row[1] - w[2]*row[2]
		if press <= 0 {
			continue
		}
		e += q.k * press * press / 2
		for a := range 3 {
			g[a] -= q.k * press * row[a]
			for b := range 3 {
				h[a][b] += q.k * row[a] * row[b]
			}
		}
	}
	return e, g, h
}

// balance is the seat of least energy, and what is left out of balance there.
func (q *bed) balance() (w [3]float64, left float64) {
	k, n := q.k, float64(len(q.stations))
	w[0] = -q.force / (k * n)
	e, g, h := q.energy(w)
	for range yieldSteps {
		if math.Abs(g[0])+math.Abs(g[1])+math.Abs(g[2]) <= yieldGoal*q.force {
			break
		}
		for a := range 3 {
			h[a][a] += yieldDamper * k * n
		}
		step, ok := dense.Solve3(h, [3]float64{-g[0], -g[1], -g[2]})
		if !ok { // fewer than three stations bear: go down the slope
			for a := range 3 {
				step[a] = -g[a] / (k * n)
			}
		}
		slope := g[0]*step[0] + g[1]*step[1] + g[2]*step[2]
		share := 1.0
		for ; share > yieldShort; share /= 2 {
			next := [3]float64{w[0] + share*step[0], w[1] + share*step[1], w[2] + share*step[2]}
			ne, ng, nh := q.energy(next)
			if ne <= e+yieldDrop*share*slope+yieldRounds*math.Abs(e) {
				w, e, g, h = next, ne, ng, nh
				break
			}
		}
		if share <= yieldShort {
			break
		}
	}
	return w, math.Abs(g[0]) + math.Abs(g[1]) + math.Abs(g[2])
}

// WidestOpen finds, among stations in order round a circle, the stretch without pressure that is
// widest as an angle, from its first station to its last: many stations close together are not
// wide. Of stretches as wide, the one that begins first.
func WidestOpen(clocks []float64, presses []bool) (from, to int, found bool) {
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
