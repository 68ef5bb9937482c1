package seat

import (
	"math"
	"math/rand/v2"
	"testing"
)

func ringOfStations(rng *rand.Rand, n int, bumps float64) []Station {
	var out []Station
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		r := 50 + 12*float64(i%2)
		out = append(out, Station{X: 3 + r*c, Y: -2 + r*s, HA: bumps * rng.NormFloat64(), HB: bumps * rng.NormFloat64()})
	}
	return out
}

// The seat against the program solved another way: of all planes through three stations whose
// triangle holds the centroid, the highest at the centroid; and by its own conditions.
//
// Source: duality of linear programs in three unknowns; hand calculation.
func TestSolver_againstTriples(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	for trial := range 10000 {
		n := 3 + trial%10
		s := Solver{Stations: ringOfStations(rng, n, 0.01)}
		if trial%7 == 0 { // heights on a coarse grid: ties
			for i := range s.Stations {
				s.Stations[i].HA = math.Round(s.Stations[i].HA*100) / 100
				s.Stations[i].HB = 0
			}
		}
		cx, cy := 3+20*(rng.Float64()-0.5), -2+20*(rng.Float64()-0.5)
		if err := s.Solve(cx, cy); err != nil {
			continue // outside a triangle of three
		}
		best := math.Inf(-1)
		for a := range n {
			for b := range a {
				for c := range b {
					p, q, r := s.Stations[a], s.Stations[b], s.Stations[c]
					d := (q.X-p.X)*(r.Y-p.Y) - (r.X-p.X)*(q.Y-p.Y)
					u := ((q.X-cx)*(r.Y-cy) - (r.X-cx)*(q.Y-cy)) / d
					v := ((r.X-cx)*(p.Y-cy) - (p.X-cx)*(r.Y-cy)) / d
					w := 1 - u - v
					if u > -1e-12 && v > -1e-12 && w > -1e-12 {
						best = math.Max(best, u*(p.HA-p.HB)+v*(q.HA-q.HB)+w*(r.HA-r.HB))
					}
				}
			}
		}
		if got := s.Shift[0] + s.Shift[1]*cx + s.Shift[2]*cy; math.Abs(got-best) > 1e-10 {
			t.Fatalf("trial %d: height %v, want %v", trial, got, best)
		}
		for i, p := range s.Stations {
			if p.Gap < -1e-9 {
				t.Fatalf("trial %d: station %d is %g inside the other part", trial, i, -p.Gap)
			}
		}
	}
}

// A part that rocks about two contacts settles where Σ gap² is least; one outside its stations has
// no seat.
func TestSolver_rocksAndFalls(t *testing.T) {
	// two high stations opposite each other, the centroid between them, and low ones beside
	s := Solver{Stations: []Station{{X: 50, HA: 0.02}, {X: -50, HA: 0.02}, {Y: 50, HA: 0.004}, {Y: -50}}}
	if err := s.Solve(0, 0); err != nil {
		t.Fatal(err)
	}
	// Source: hand calculation: gaps 0.016 + t and 0.02 - t, t = 0.002
	if g := s.Stations; math.Abs(g[0].Gap)+math.Abs(g[1].Gap) > 1e-9 || math.Abs(g[2].Gap-0.018) > 1e-8 || math.Abs(g[3].Gap-0.018) > 1e-8 {
		t.Errorf("%+v", g)
	}
	if err := s.Solve(80, 0); err == nil {
		t.Error("a centroid outside the stations has a seat")
	}
	// on the rim between two stations
	if err := s.Solve(25, 25); err != nil {
		t.Error(err)
	}
}

func TestSolver_allocs(t *testing.T) {
	s := Solver{Stations: ringOfStations(rand.New(rand.NewPCG(1, 1)), 24, 0.003)}
	if n := testing.AllocsPerRun(50, func() { _ = s.Solve(0, 0) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkSolver_24(b *testing.B) {
	s := Solver{Stations: ringOfStations(rand.New(rand.NewPCG(1, 1)), 24, 0.003)}
	b.ReportAllocs()
	for b.Loop() {
		if err := s.Solve(0, 0); err != nil {
			b.Fatal(err)
		}
	}
}

// Heights that differ by rounding seat as heights that do not: four high stations of eight, two
// that rock, a centroid on their line, a flat ring.
func TestSolver_roundingChangesNothing(t *testing.T) {
	seat := func(kind int, size float64) Solver {
		var s Solver
		var cy float64
		for i := range 8 {
			sin, cos := math.Sincos(math.Pi / 4 * float64(i))
			q := Station{X: 50 * cos, Y: 50 * sin}
			switch kind {
			case 0:
				if q.HA = []float64{0.01, 0}[i%2]; i == 2 {
					q.HA += size
				}
			case 1:
				if i == 0 || i == 4 {
					q.HA = 0.01 + size*float64(i)
				}
			case 2:
				if i == 0 || i == 4 {
					q.HA = 0.01
				}
				cy = 50 * size
			case 3:
				q.HA = size * float64(i*i%3)
			case 4:
				if q.HA = []float64{0.01, 0}[i%2]; i%4 == 2 {
					q.HA -= size
				}
			}
			s.Stations = append(s.Stations, q)
		}
		if err := s.Solve(0, cy); err != nil {
			t.Fatalf("kind %d, %g: %v", kind, size, err)
		}
		return s
	}
	for kind := range 5 {
		exact := seat(kind, 0)
		for _, size := range []float64{1e-20, 1e-18, 1e-16, 1e-14, 1e-12, 1e-10} {
			got := seat(kind, size)
			for k := range 3 {
				if d := math.Abs(got.Shift[k] - exact.Shift[k]); d > 4*size+1e-15 {
					t.Errorf("kind %d, %g: w[%d] %.17g, exactly %.17g", kind, size, k, got.Shift[k], exact.Shift[k])
				}
			}
		}
	}
}
