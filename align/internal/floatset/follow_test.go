package floatset

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// followed is a random set whose draws follow their numbers: of a register that may lean, of pins
// and slabs, two together or one alone; with how many of them degenerate.
func followed(rng *rand.Rand) *Set {
	for {
		s := randomSet(rng)
		if len(s.Constraints) > 0 && !s.Constraints[0].Slab && rng.IntN(4) == 0 { // one whose discs nearly coincide
			s.Constraints[0].Radius = s.Constraints[len(s.Constraints)-1].Radius * (1 + []float64{0, 1e-12, 1e-6, 0.01}[rng.IntN(4)])
		}
		if s.Prepare() != nil || s.Dim < 2 {
			continue
		}
		if _, ok := s.follow(Numbers{0.5, 0.5, 0.5}); ok {
			return s
		}
	}
}

// Uniform in F is that the numbers' cube goes over into F at one scale: |∂v/∂u| is F's volume
// everywhere.
//
// Source: hand calculation: the density of v is |∂u/∂v|; a second method: volumes along
// rays, which say nothing where F is thin.
func TestSet_followScale(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 1))
	slabs, lenses, flat, thicks := 0, 0, 0, 0
	for trial := range 60 {
		s := followed(rng)
		want, err := s.rayMoments()
		if err != nil {
			t.Fatal(err)
		}
		volume := want.Weight * 2 * math.Pi / (rays / 8) // its weights leave the step of the angle out
		switch {
		case s.Dim == 2:
			volume /= 8
			flat++
		case s.sets[0].lens || s.sets[1].lens:
			lenses++
		}
		if slices.ContainsFunc(s.Constraints, func(f Constraint) bool { return f.Slab }) {
			slabs++
		}
		first, least, most := 0.0, math.Inf(1), 0.0
		for i := range s.Constraints {
			least, most = math.Min(least, s.Constraints[i].Radius), math.Max(most, s.Constraints[i].Radius)
		}
		thick := least > most/4
		if thick {
			thicks++
		}
		for range 5 {
			u := Numbers{0.02 + 0.96*rng.Float64(), 0.02 + 0.96*rng.Float64(), 0.02 + 0.96*rng.Float64()}
			const h = 1e-5
			var d [3][3]float64
			for c := range s.Dim {
				lo, hi := u, u
				lo[c] -= h
				hi[c] += h
				a, _ := s.follow(lo)
				b, _ := s.follow(hi)
				p, q := s.Scaled(a), s.Scaled(b)
				for i := range 3 {
					d[c][i] = (q[i] - p[i]) / (2 * h)
				}
			}
			if s.Dim == 2 {
				d[2] = [3]float64{0, 0, 1}
			}
			det := math.Abs(d[0][0]*(d[1][1]*d[2][2]-d[1][2]*d[2][1]) - d[0][1]*(d[1][0]*d[2][2]-d[1][2]*d[2][0]) + d[0][2]*(d[1][0]*d[2][1]-d[1][1]*d[2][0]))
			if first == 0 {
				first = det
			}
			if math.Abs(det-first) > 1e-5*first || thick && math.Abs(det-volume) > 0.01*volume {
				t.Fatalf("set %d: the scale at %v is %v, %v elsewhere, the volume %v", trial, u, det, first, volume)
			}
		}
	}
	if flat < 5 || lenses < 5 || slabs < 5 || thicks < 20 {
		t.Errorf("%d shifts alone, %d lenses, %d slabs were tried, %d of all thick", flat, lenses, slabs, thicks)
	}
}

// Draws that follow their numbers are those of rejection: Kolmogorov's distance along random
// directions.
//
// Source: two samples of n differ by more than 1.95 √(2/n) in one of 1,000 cases (Kolmogorov and
// Smirnov, from memory); 120 comparisons, so that 2.6 is passed once in 6,000 runs.
func TestSet_followLaw(t *testing.T) {
	rng := rand.New(rand.NewPCG(22, 1))
	const n, most = 2000, 2.6
	for trial := range 40 {
		s := followed(rng)
		var a, b [3][]float64
		var g [3]Vec
		for k := range g {
			g[k] = Vec{rng.NormFloat64(), rng.NormFloat64(), s.CharLength * rng.NormFloat64()}
		}
		for range n {
			v, _ := s.follow(Numbers{rng.Float64(), rng.Float64(), rng.Float64()})
			w, err := s.Uniform(Numbers{rng.Float64(), -1, -1})
			if err != nil {
				t.Fatal(err)
			}
			if s.slack(v) < -1e-12 {
				t.Fatalf("set %d: %v is %v outside", trial, v, -s.slack(v))
			}
			for k := range g {
				a[k] = append(a[k], g[k].X*v.X+g[k].Y*v.Y+g[k].G*v.G)
				b[k] = append(b[k], g[k].X*w.X+g[k].Y*w.Y+g[k].G*w.G)
			}
		}
		for k := range g {
			slices.Sort(a[k])
			slices.Sort(b[k])
			far, j := 0.0, 0
			for i, v := range a[k] {
				for j < n && b[k][j] < v {
					j++
				}
				far = math.Max(far, math.Abs(float64(i-j))/n)
			}
			if far > most*math.Sqrt(2.0/n) {
				t.Errorf("set %d, direction %d: %v apart", trial, k, far)
			}
		}
	}
}

// Near numbers give near floats, to the ends of the numbers; and what has no extent is met without
// harm.
func TestSet_followNear(t *testing.T) {
	rng := rand.New(rand.NewPCG(23, 1))
	thin := 0
	for trial := range 40 {
		s := followed(rng)
		if trial%2 == 1 { // thin, but for rounding a point
			s.Constraints[0].Radius = 3e-12
			_ = s.Prepare()
			if _, ok := s.follow(Numbers{}); !ok {
				continue
			}
			thin++
		}
		var size float64
		for i := range s.Constraints {
			size += s.Constraints[i].Radius
		}
		for range 20 {
			u, w := Numbers{rng.Float64(), rng.Float64(), rng.Float64()}, Numbers{}
			if k := rng.IntN(6); k < 3 {
				u[k] = float64(rng.IntN(2))
			}
			for c := range u {
				w[c] = math.Max(0, math.Min(1, u[c]+1e-9*rng.NormFloat64()))
			}
			a, ok := s.follow(u)
			b, also := s.follow(w)
			if !ok || !also || s.slack(a) < -1e-12 || math.IsNaN(a.X+a.Y+a.G) {
				t.Fatalf("set %d at %v: %v %v, %v outside", trial, u, a, ok && also, -s.slack(a))
			}
			p, q := s.Scaled(a), s.Scaled(b)
			// a chord's share near its end goes with the cube root of the number
			if d := math.Hypot(math.Hypot(p[0]-q[0], p[1]-q[1]), p[2]-q[2]); d > 0.02*size {
				t.Errorf("set %d: %v gives %v, %v gives %v", trial, u, a, w, b)
			}
		}
	}
	if thin < 3 {
		t.Errorf("%d thin floats were tried", thin)
	}
}

// Where F is a point or a segment, or of more than two features, three numbers draw it all the same.
func TestSet_uniformOfThree(t *testing.T) {
	rng := rand.New(rand.NewPCG(24, 1))
	dims := map[int]int{}
	for range 300 {
		s := randomSet(rng)
		if err := s.Prepare(); err != nil {
			t.Fatal(err)
		}
		dims[s.Dim]++
		u := Numbers{rng.Float64(), rng.Float64(), rng.Float64()}
		a, err := s.Uniform(u)
		b, again := s.Uniform(u)
		if err != nil || again != nil || a != b || s.slack(a) < -1e-8 {
			t.Fatalf("%v and %v, %v outside: %v", a, b, -s.slack(a), err)
		}
	}
	if len(dims) < 4 {
		t.Errorf("dimensions tried: %v", dims)
	}
}

func BenchmarkSet_follow(b *testing.B) {
	s := &Set{Constraints: []Constraint{{Radius: 0.02}, {PX: 0.004, PY: 0.002, Radius: 0.02}, {PX: 0.003, QX: -10, QY: 80, Radius: 0.012}}, Turns: true}
	s.Measure()
	s.Aim(true)
	_ = s.Prepare()
	u := Numbers{0.3, 0.4, 0.7}
	for b.Loop() {
		u[0] = math.Mod(u[0]+0.618033988749895, 1)
		_, _ = s.follow(u)
	}
}

// Moments by sections are those of rays where F is thick, and where it is thin they are those of
// the long feature alone.
//
// Source: a second method: integrals along rays; hand calculation: a pin without room holds x, and y
// but for the turn about it, so that the shift lies anywhere along a diameter 2r: a variance of r²/3.
func TestSet_sectionMoments(t *testing.T) {
	rng := rand.New(rand.NewPCG(25, 1))
	tried := 0
	for range 200 {
		s := followed(rng)
		least, most := math.Inf(1), 0.0
		for i := range s.Constraints {
			least, most = math.Min(least, s.Constraints[i].Radius), math.Max(most, s.Constraints[i].Radius)
		}
		if least < most/3 || tried == 30 {
			continue
		}
		tried++
		got, ok := s.sectionMoments()
		want, err := s.rayMoments()
		if !ok || err != nil {
			t.Fatal(ok, err)
		}
		for a := range 3 {
			mean, other := got.First[a]/got.Weight, want.First[a]/want.Weight
			v, w := got.Second[a][a]/got.Weight-mean*mean, want.Second[a][a]/want.Weight-other*other
			if math.Abs(mean-other) > 5e-3*most || math.Abs(v-w) > 0.02*w+1e-9*most*most {
				t.Errorf("set %v: component %d: mean %v, variance %v; by rays %v, %v", s.Constraints, a, mean, v, other, w)
			}
		}
	}
	const r, arm = 0.05, 80.0
	for _, pin := range []float64{1e-4, 1e-6, 1e-9} {
		s := &Set{}
		s.Begin(true)
		s.AddRegister(2*r, 0, 0, false)
		s.Constraints = append(s.Constraints, Constraint{QY: arm, Radius: pin})
		s.Measure()
		s.Aim(true)
		if err := s.Prepare(); err != nil {
			t.Fatal(err)
		}
		m, err := s.UniformMoments()
		if err != nil {
			t.Fatal(err)
		}
		if v := m.Second[1][1] / m.Weight; math.Abs(v-r*r/3) > 1e-3*r*r*pin/1e-4 {
			t.Errorf("pin %g: variance %v, want %v", pin, v, r*r/3)
		}
	}
}

// Numbers a step beyond 0 or 1, as a difference at an end takes them, are at that end and no seed.
func TestSet_followEnds(t *testing.T) {
	rng := rand.New(rand.NewPCG(22, 1))
	for range 50 {
		s := followed(rng)
		for _, step := range []float64{1e-17, 0.0045, 0.3} {
			at, err := s.Uniform(Numbers{0, 0, 1})
			if err != nil {
				t.Fatal(err)
			}
			beyond, err := s.Uniform(Numbers{-step, -step, 1 + step})
			if err != nil || beyond != at {
				t.Fatalf("%v beyond the ends: %v, want %v: %v", step, beyond, at, err)
			}
		}
	}
}
