package floatset

import (
	"math"
	"math/rand/v2"
	"testing"
)

// randomFences is a set of discs as pins and a pilot leave them, some without room.
func randomFences(rng *rand.Rand, n int) *Set {
	s := &Set{Turns: rng.IntN(4) > 0}
	for range n {
		f := Constraint{PX: 0.02 * rng.NormFloat64(), PY: 0.02 * rng.NormFloat64(), Radius: []float64{0, 0.01, 0.05 * rng.Float64()}[rng.IntN(3)]}
		if len(s.Constraints) > 0 || rng.IntN(2) == 0 {
			f.QX, f.QY = 80*rng.NormFloat64(), 80*rng.NormFloat64()
		}
		s.Constraints = append(s.Constraints, f)
	}
	s.Target = Vec{0.01 * rng.NormFloat64(), 0.01 * rng.NormFloat64(), 0}
	if s.Turns {
		s.Target.G = 1e-4 * rng.NormFloat64()
	}
	s.Measure()
	return s
}

// The closed form of two discs is what the program finds, and its point and multipliers are of the
// least ε.
func TestFloatSet_leastOfTwo(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 3))
	cases := map[string]int{}
	for trial := range 2000 {
		s := randomFences(rng, 2)
		eps, err := s.least()
		if err != nil {
			t.Fatal(err)
		}
		at, pulls := s.Vec(s.Base), append([]float64(nil), s.multipliers...)
		want, unit, err := s.leastByCones(false)
		if err != nil {
			t.Fatal(err)
		}
		want *= unit
		if math.Abs(eps-want) > 1e-8 {
			t.Fatalf("trial %d: ε %.12g, program %.12g, of %+v", trial, eps, want, s.Constraints)
		}
		if over := -s.slack(at); over > eps+1e-12 {
			t.Fatalf("trial %d: lacks %g at its point, ε %g", trial, over, eps)
		}
		if !s.Turns && at.G != s.Target.G {
			t.Fatalf("trial %d: turned", trial)
		}
		if d := math.Abs(pulls[0] - s.multipliers[0]); d > 1e-3 && eps > 1e-6 {
			t.Fatalf("trial %d: pulls %v, program %v, ε %g, of %+v", trial, pulls, s.multipliers, eps, s.Constraints)
		}
		switch {
		case eps > 0:
			cases["fouls"]++
		case pulls[0] == 0.5:
			cases["two hold"]++
		default:
			cases["one holds"]++
		}
	}
	if len(cases) != 3 {
		t.Errorf("cases tried: %v", cases)
	}
}

// Rooms times the utilisation just leave a float, whatever the shape, and laying out the set does not change it.
//
// Source: the least ε that rooms times a share lack, by bisection on its sign.
func TestFloatSet_utilisation(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 2))
	above := 0
	for trial := range 1500 {
		s := randomFences(rng, 1+rng.IntN(4))
		for k := range s.Constraints {
			f := &s.Constraints[k]
			f.Radius = max(f.Radius, leastRadius)
			if f.Slab = rng.IntN(4) == 0; f.Slab {
				f.NY, f.NX = math.Sincos(6 * rng.Float64())
			}
		}
		s.Fixed = rng.IntN(5) == 0
		got, err := s.Utilisation()
		if err != nil {
			t.Fatalf("trial %d: %v", trial, err)
		}
		if s.Fixed && len(s.Constraints) == 1 {
			continue // what it turns to is the target's
		}
		for _, side := range []float64{-1, 1} {
			q := *s
			q.Constraints = append([]Constraint(nil), s.Constraints...)
			for k := range q.Constraints {
				q.Constraints[k].Radius *= got * (1 + side*1e-3)
			}
			q.Measure()
			eps, err := q.least()
			if err != nil {
				t.Fatal(err)
			}
			if side*eps > 2e-9 {
				t.Errorf("trial %d: λ %.9g, and at %+g ‰ of it ε is %g; %+v", trial, got, side, eps, s.Constraints)
			}
		}
		if got > 1 {
			above++
		}
		if err := s.Prepare(); err != nil {
			t.Fatal(err)
		}
		if again, err := s.Utilisation(); err != nil || math.Abs(again-got) > 1e-5*(1+got) || (s.Lack > 0) != (got > 1+1e-3) && math.Abs(got-1) > 1e-2 {
			t.Errorf("trial %d: laid out %.9g (lacks %g), before %.9g, %v", trial, again, s.Lack, got, err)
		}
	}
	if above < 100 {
		t.Errorf("only %d do not assemble", above)
	}
}

// A register that leans past its room counts with both its mouths, whether or not a pin beside it enters.
//
// Source: hand calculation: discs of diameter 0.02 mm 0.03 mm apart take 1.5 times theirs; a pin of 0.01 mm that is off by
// 0.02 mm the other way is 0.05 mm from the far disc, of half of both: 0.05/0.015; one without clearance that
// is not off only holds the middle, the far disc 0.03/0.01.
func TestFloatSet_utilisationStrained(t *testing.T) {
	for name, c := range map[string]struct {
		pins []Constraint
		want float64
	}{
		"no pin":         {nil, 1.5},
		"a pin":          {[]Constraint{{PX: -0.02, QY: 80, Radius: 0.005}}, 10.0 / 3},
		"one that locks": {[]Constraint{{QY: 80, Radius: leastRadius}}, 0.03 / (0.01 + leastRadius)},
	} {
		var s Set
		s.Begin(len(c.pins) > 0)
		s.AddRegister(0.02, 0.03, 0, true)
		s.Constraints = append(s.Constraints, c.pins...)
		s.Measure()
		s.Aim(true)
		before, err := s.Utilisation()
		if err == nil {
			err = s.Prepare()
		}
		if err != nil || !s.Fixed && s.Lack == 0 {
			t.Errorf("%s: held %v, lacks %g, %v", name, s.Fixed, s.Lack, err)
		}
		after, err := s.Utilisation()
		if err != nil || math.Abs(before-c.want) > 1e-6*c.want || math.Abs(after-before) > 1e-6*c.want {
			t.Errorf("%s: %.9g, laid out %.9g, want %.9g, %v", name, before, after, c.want, err)
		}
		if s.Begin(false); len(s.strained) > 0 {
			t.Errorf("%s: strained still when begun again", name)
		}
	}
}

// A constraint without room holds its point; what is left is the point nearest the target, well
// within the other constraints, and free to turn about the held one.
func TestFloatSet_press(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 9))
	pressed := 0
	for trial := range 3000 {
		s := randomFences(rng, 2+rng.IntN(2))
		for i := range s.Constraints {
			s.Constraints[i].Radius += 0.03
		}
		s.Constraints[0].Radius = 0
		if err := s.Prepare(); err != nil {
			t.Fatal(err)
		}
		if len(s.multipliers) > 0 { // by the program
			continue
		}
		pressed++
		rest, err := s.Nearest()
		if err != nil {
			t.Fatal(err)
		}
		f := &s.Constraints[0]
		if s.Lack != 0 || f.at(rest) > 1e-15 || len(s.Open) != len(s.Constraints)-1 {
			t.Fatalf("trial %d: %g from the held point, %d of %d open, lack %g", trial, f.at(rest), len(s.Open), len(s.Constraints), s.Lack)
		}
		for _, i := range s.Open {
			if left := s.Constraints[i].Radius - s.Constraints[i].at(rest); left < openTol {
				t.Fatalf("trial %d: leaves %g at fence %d", trial, left, i)
			}
		}
		if free := map[bool]int{true: 1, false: 0}[s.Turns]; s.Dim != free {
			t.Fatalf("trial %d: %d dimensions, want %d", trial, s.Dim, free)
		}
		if s.Dim == 0 {
			continue
		}
		a, b := s.Scaled(rest), s.Scaled(s.Target)
		var along float64
		for i := range 3 {
			along += s.Span[0][i] * (b[i] - a[i])
		}
		if moved := f.at(s.Vec([3]float64{a[0] + s.Span[0][0], a[1] + s.Span[0][1], a[2] + s.Span[0][2]})); math.Abs(along) > 1e-15 || moved > 1e-12 {
			t.Fatalf("trial %d: the target is %g along what is free, which moves the held point by %g", trial, along, moved)
		}
	}
	if pressed < 1000 {
		t.Errorf("only %d sets pressed", pressed)
	}
}
