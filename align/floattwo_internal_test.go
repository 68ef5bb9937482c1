package align

import (
	"math"
	"math/rand/v2"
	"testing"
)

// randomTwo is a float of a pilot, leaning or not, and a pin, of two pins, or of a ring of bolts.
func randomTwo(r *rand.Rand) *floatSet {
	s := &floatSet{turns: true}
	point := func(size float64) (float64, float64) { return size * r.NormFloat64(), size * r.NormFloat64() }
	room := 0.01 + 0.05*r.Float64()
	var f fence
	f.room = room
	switch r.IntN(4) {
	case 3:
		n := 3 + r.IntN(6)
		for k := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(n))
			f.qx, f.qy = 70*cos, 70*sin
			f.px, f.py = point(room / 5)
			s.fences = append(s.fences, f)
		}
		f = fence{}
	case 0:
		f.pin = pilotFence
		s.fences = append(s.fences, f)
	case 1:
		f.pin = pilotFence
		s.fences = append(s.fences, f)
		f.px, f.py = point(room / 2)
		s.fences = append(s.fences, f)
	default:
		f.qx, f.qy = point(80)
		s.fences = append(s.fences, f)
	}
	d := fence{room: 0.005 + 0.05*r.Float64(), pin: 1}
	d.px, d.py = point(0.005)
	d.qx, d.qy = point(100)
	s.fences = append(s.fences, d)
	for i := range s.fences {
		s.lever = math.Max(s.lever, math.Hypot(s.fences[i].qx, s.fences[i].qy))
	}
	s.aim(true)
	return s
}

// The farthest point agrees with the cone program, a second method, and is within the float.
func TestFloatSet_farthestOfSets(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	used := 0
	for n := range 20000 {
		s := randomTwo(r)
		if err := s.prepare(); err != nil {
			t.Fatal(err)
		}
		pull := float3{r.NormFloat64(), r.NormFloat64(), s.lever * r.NormFloat64()}
		switch r.IntN(4) { // along one component, square to an arm
		case 0:
			pull = float3{g: 1}
		case 1:
			pull.g = 0
		}
		v, ok := s.farthestOfSets(pull)
		if !ok {
			continue
		}
		used++
		if least := s.slack(v); least < -1e-12 {
			t.Fatalf("set %d: outside by %v", n, -least)
		}
		p, unit := s.spanProgram()
		g := [3]float64{pull.x, pull.y, pull.g / s.lever}
		size := math.Sqrt(g[0]*g[0] + g[1]*g[1] + g[2]*g[2])
		for k := range s.dim {
			for i := range 3 {
				p.Cost()[k] -= s.span[k][i] * g[i] / size
			}
		}
		res, err := s.solver.Solve(p, foulTol)
		if err != nil {
			t.Fatal(err)
		}
		at := s.scaled(s.atSpan([]float64{unit * res.X[0], unit * res.X[1], unit * res.X[2]}))
		own := s.scaled(v)
		var far, mine float64
		for i := range 3 {
			far += g[i] * at[i] / size
			mine += g[i] * own[i] / size
		}
		if mine < far-1e-9 {
			t.Fatalf("set %d: reaches %.12g, the cone program %.12g", n, mine, far)
		}
	}
	if used < 14000 {
		t.Errorf("only %d of 20000 sets were taken", used)
	}
}

func BenchmarkFloatSet_farthestOfSets(b *testing.B) {
	r := rand.New(rand.NewPCG(13, 14))
	s := randomTwo(r)
	if err := s.prepare(); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		s.farthestOfSets(float3{0.3, -0.8, 20})
	}
}

// Drawn floats lie in the float, and their mean and covariance are those of the integral over it: a second method.
func TestFloatSet_uniform(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 16))
	for n := range 16 {
		s := randomTwo(r)
		if n >= 8 { // more fences, the last of a flatted pin
			s = randomFences(r, 3)
			for i := range s.fences {
				s.fences[i].room += 0.03
			}
			s.fences[2].slab, s.fences[2].nx, s.fences[2].ny = true, 0.6, 0.8
			s.turns = true
		}
		if err := s.prepare(); err != nil {
			t.Fatal(err)
		}
		if s.dim != 3 {
			continue
		}
		want, err := s.uniformMoments()
		if err != nil {
			t.Fatal(err)
		}
		var got floatMoments
		const draws = 40000
		for range draws {
			v, err := s.uniform(r.Float64())
			if err != nil {
				t.Fatal(err)
			}
			if s.slack(v) < -1e-12 {
				t.Fatalf("set %d: drawn %v outside", n, -s.slack(v))
			}
			got.add(s.scaled(v), [3]float64{}, 1, 0, 0)
		}
		for a := range 3 {
			mean, m := want.first[a]/want.weight, got.first[a]/draws
			v := want.second[a][a]/want.weight - mean*mean
			g := got.second[a][a]/draws - m*m
			if math.Abs(m-mean) > 5*math.Sqrt(v/draws) || math.Abs(g-v) > 0.04*v {
				t.Errorf("set %d, component %d: mean %v, variance %v; want %v, %v", n, a, m, g, mean, v)
			}
		}
	}
}
