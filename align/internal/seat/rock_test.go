package seat

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A part that rocks about two opposite stations settles in closed form where the program does, with
// stations that differ by rounding and with some that touch on the way.
func TestRock_asByProgram(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 8))
	free, touched := 0, 0
	for trial := range 300 {
		n := 2 * (2 + rng.IntN(11))
		s := Solver{}
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			s.Stations = append(s.Stations, Station{X: 90 * cos, Y: 90 * sin, HA: -0.01 * rng.Float64()})
		}
		k := rng.IntN(n / 2)
		s.Stations[k].HA, s.Stations[k+n/2].HA = 0.001, 0.001
		if trial%3 == 0 { // one just below the line of the two
			s.Stations[(k+1)%n].HA = 0.001 - []float64{1e-4, 1e-9, 1e-15}[rng.IntN(3)]
		}
		if err := s.Solve(0, 0); err != nil {
			t.Fatal(trial, err)
		}
		got := s.Shift
		// Source: a second method, the quadratic program in three unknowns, from there
		if err := s.rockByProgram(90); err != nil {
			t.Fatal(trial, err)
		}
		least := math.Inf(1)
		for i := range n {
			q := &s.Stations[i]
			gap := q.HB + got[0] + got[1]*q.X + got[2]*q.Y - q.HA
			if i != k && i != k+n/2 {
				least = min(least, gap)
			}
			if other := q.HB + s.Shift[0] + s.Shift[1]*q.X + s.Shift[2]*q.Y - q.HA; math.Abs(gap-other) > 3e-8 || gap < -1e-12 {
				t.Errorf("trial %d, station %d of %d: gap %g, %g by the program", trial, i, n, gap, other)
			}
		}
		if least < 1e-10 {
			touched++
		} else {
			free++
		}
	}
	if free < 20 || touched < 20 {
		t.Errorf("%d settle free and %d touch: want both tried", free, touched)
	}
}
