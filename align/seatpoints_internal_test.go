package align

import (
	"math"
	"math/rand/v2"
	"testing"
)

func ringOfStations(rng *rand.Rand, n int, bumps float64) []station {
	var out []station
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		r := 50 + 12*float64(i%2)
		out = append(out, station{x: 3 + r*c, y: -2 + r*s, hA: bumps * rng.NormFloat64(), hB: bumps * rng.NormFloat64()})
	}
	return out
}

// The seat against the program solved another way: of all planes through three stations whose triangle holds the centroid, the highest at the centroid; and by its own conditions.
//
// Source: duality of linear programs in three unknowns; hand calculation.
func TestPointSeat_againstTriples(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	for trial := range 10000 {
		n := 3 + trial%10
		s := pointSeat{stations: ringOfStations(rng, n, 0.01)}
		if trial%7 == 0 { // heights on a coarse grid: ties
			for i := range s.stations {
				s.stations[i].hA = math.Round(s.stations[i].hA*100) / 100
				s.stations[i].hB = 0
			}
		}
		cx, cy := 3+20*(rng.Float64()-0.5), -2+20*(rng.Float64()-0.5)
		if err := s.solve(cx, cy); err != nil {
			continue // outside a triangle of three
		}
		best := math.Inf(-1)
		for a := range n {
			for b := range a {
				for c := range b {
					p, q, r := s.stations[a], s.stations[b], s.stations[c]
					d := (q.x-p.x)*(r.y-p.y) - (r.x-p.x)*(q.y-p.y)
					u := ((q.x-cx)*(r.y-cy) - (r.x-cx)*(q.y-cy)) / d
					v := ((r.x-cx)*(p.y-cy) - (p.x-cx)*(r.y-cy)) / d
					w := 1 - u - v
					if u > -1e-12 && v > -1e-12 && w > -1e-12 {
						best = math.Max(best, u*(p.hA-p.hB)+v*(q.hA-q.hB)+w*(r.hA-r.hB))
					}
				}
			}
		}
		if got := s.w[0] + s.w[1]*cx + s.w[2]*cy; math.Abs(got-best) > 1e-10 {
			t.Fatalf("trial %d: height %v, want %v", trial, got, best)
		}
		for i, p := range s.stations {
			if p.gap < -1e-9 {
				t.Fatalf("trial %d: station %d is %g inside the other part", trial, i, -p.gap)
			}
		}
	}
}

// A part that rocks about two contacts settles where Σ gap² is least; one outside its stations has no seat.
func TestPointSeat_rocksAndFalls(t *testing.T) {
	// two high stations opposite each other, the centroid between them, and low ones beside
	s := pointSeat{stations: []station{{x: 50, hA: 0.02}, {x: -50, hA: 0.02}, {y: 50, hA: 0.004}, {y: -50}}}
	if err := s.solve(0, 0); err != nil {
		t.Fatal(err)
	}
	// Source: hand calculation: gaps 0.016 + t and 0.02 - t, t = 0.002
	if g := s.stations; math.Abs(g[0].gap)+math.Abs(g[1].gap) > 1e-9 || math.Abs(g[2].gap-0.018) > 1e-8 || math.Abs(g[3].gap-0.018) > 1e-8 {
		t.Errorf("%+v", g)
	}
	if err := s.solve(80, 0); err == nil {
		t.Error("a centroid outside the stations has a seat")
	}
	// on the rim between two stations
	if err := s.solve(25, 25); err != nil {
		t.Error(err)
	}
}

func TestPointSeat_allocs(t *testing.T) {
	s := pointSeat{stations: ringOfStations(rand.New(rand.NewPCG(1, 1)), 24, 0.003)}
	if n := testing.AllocsPerRun(50, func() { _ = s.solve(0, 0) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkPointSeat_24(b *testing.B) {
	s := pointSeat{stations: ringOfStations(rand.New(rand.NewPCG(1, 1)), 24, 0.003)}
	b.ReportAllocs()
	for b.Loop() {
		if err := s.solve(0, 0); err != nil {
			b.Fatal(err)
		}
	}
}

// Heights that differ by rounding seat as heights that do not: four high stations of eight, two that rock, a centroid on their line, a flat ring.
func TestPointSeat_roundingChangesNothing(t *testing.T) {
	seat := func(kind int, size float64) pointSeat {
		var s pointSeat
		var cy float64
		for i := range 8 {
			sin, cos := math.Sincos(math.Pi / 4 * float64(i))
			q := station{x: 50 * cos, y: 50 * sin}
			switch kind {
			case 0:
				if q.hA = []float64{0.01, 0}[i%2]; i == 2 {
					q.hA += size
				}
			case 1:
				if i == 0 || i == 4 {
					q.hA = 0.01 + size*float64(i)
				}
			case 2:
				if i == 0 || i == 4 {
					q.hA = 0.01
				}
				cy = 50 * size
			case 3:
				q.hA = size * float64(i*i%3)
			case 4:
				if q.hA = []float64{0.01, 0}[i%2]; i%4 == 2 {
					q.hA -= size
				}
			}
			s.stations = append(s.stations, q)
		}
		if err := s.solve(0, cy); err != nil {
			t.Fatalf("kind %d, %g: %v", kind, size, err)
		}
		return s
	}
	for kind := range 5 {
		exact := seat(kind, 0)
		for _, size := range []float64{1e-20, 1e-18, 1e-16, 1e-14, 1e-12, 1e-10} {
			got := seat(kind, size)
			for k := range 3 {
				if d := math.Abs(got.w[k] - exact.w[k]); d > 4*size+1e-15 {
					t.Errorf("kind %d, %g: w[%d] %.17g, exactly %.17g", kind, size, k, got.w[k], exact.w[k])
				}
			}
		}
	}
}
