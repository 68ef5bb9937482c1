package floatset

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/align/internal/dense"
)

// randomTwo is a float of a pilot, leaning or not, and a pin, of two pins, or of a ring of bolts.
func randomTwo(r *rand.Rand) *Set {
	s := &Set{Turns: true}
	point := func(size float64) (float64, float64) { return size * r.NormFloat64(), size * r.NormFloat64() }
	room := 0.01 + 0.05*r.Float64()
	var f Constraint
	f.Radius = room
	switch r.IntN(4) {
	case 3:
		n := 3 + r.IntN(6)
		for k := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(n))
			f.QX, f.QY = 70*cos, 70*sin
			f.PX, f.PY = point(room / 5)
			s.Constraints = append(s.Constraints, f)
		}
		f = Constraint{}
	case 0:
		f.Mark = OfShift
		s.Constraints = append(s.Constraints, f)
	case 1:
		f.Mark = OfShift
		s.Constraints = append(s.Constraints, f)
		f.PX, f.PY = point(room / 2)
		s.Constraints = append(s.Constraints, f)
	default:
		f.QX, f.QY = point(80)
		s.Constraints = append(s.Constraints, f)
	}
	d := Constraint{Radius: 0.005 + 0.05*r.Float64(), Mark: 1}
	d.PX, d.PY = point(0.005)
	d.QX, d.QY = point(100)
	s.Constraints = append(s.Constraints, d)
	for i := range s.Constraints {
		s.CharLength = math.Max(s.CharLength, math.Hypot(s.Constraints[i].QX, s.Constraints[i].QY))
	}
	s.Aim(true)
	return s
}

// The farthest point agrees with the cone program, a second method, and is within the float.
func TestFloatSet_farthestOfSets(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	used := 0
	for n := range 20000 {
		s := randomTwo(r)
		if err := s.Prepare(); err != nil {
			t.Fatal(err)
		}
		pull := Vec{r.NormFloat64(), r.NormFloat64(), s.CharLength * r.NormFloat64()}
		switch r.IntN(4) { // along one component, square to an arm
		case 0:
			pull = Vec{G: 1}
		case 1:
			pull.G = 0
		case 2: // so that nothing pulls the first set along the line between the arms' ends
			if s.lookForSets(); s.pair.arm > 0 {
				t, along, beta := &s.pair, pull.X, pull.Y/64
				pull = Vec{X: beta*t.qx - along*t.qy, Y: beta*t.qy + along*t.qx}
				pull.G = beta*t.arm + pull.X*t.one.QX + pull.Y*t.one.QY
			}
		}
		v, ok := s.farthestOfSets(pull)
		if !ok {
			continue
		}
		used++
		if least := s.slack(v); least < -1e-12 {
			t.Fatalf("set %d: outside by %v", n, -least)
		}
		g := [3]float64{pull.X, pull.Y, pull.G / s.CharLength}
		size := dense.Length3(g[0], g[1], g[2])
		w := aim{far: true}
		for k := range s.Dim {
			for i := range 3 {
				w.t[k] += s.Span[k][i] * g[i] / size
			}
		}
		there, err := s.byCones(&w)
		if err != nil {
			t.Fatal(err)
		}
		at := s.Scaled(there)
		own := s.Scaled(v)
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
	if err := s.Prepare(); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		s.farthestOfSets(Vec{0.3, -0.8, 20})
	}
}

// Drawn floats lie in the float, and their mean and covariance are those of the integral over it: a
// second method.
func TestFloatSet_uniform(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 16))
	for n := range 16 {
		s := randomTwo(r)
		if n >= 8 { // more constraints, the last of a flatted pin
			s = randomFences(r, 3)
			for i := range s.Constraints {
				s.Constraints[i].Radius += 0.03
			}
			s.Constraints[2].Slab, s.Constraints[2].NX, s.Constraints[2].NY = true, 0.6, 0.8
			s.Turns = true
		}
		if err := s.Prepare(); err != nil {
			t.Fatal(err)
		}
		if s.Dim != 3 {
			continue
		}
		want, err := s.UniformMoments()
		if err != nil {
			t.Fatal(err)
		}
		var got Moments
		const draws = 40000
		for range draws {
			v, err := s.Uniform(Numbers{r.Float64(), -1, -1})
			if err != nil {
				t.Fatal(err)
			}
			if s.slack(v) < -1e-12 {
				t.Fatalf("set %d: drawn %v outside", n, -s.slack(v))
			}
			got.add(s.Scaled(v), [3]float64{}, 1, 0, 0)
		}
		for a := range 3 {
			mean, m := want.First[a]/want.Weight, got.First[a]/draws
			v := want.Second[a][a]/want.Weight - mean*mean
			g := got.Second[a][a]/draws - m*m
			if math.Abs(m-mean) > 5*math.Sqrt(v/draws) || math.Abs(g-v) > 0.04*v {
				t.Errorf("set %d, component %d: mean %v, variance %v; want %v, %v", n, a, m, g, mean, v)
			}
		}
	}
}
