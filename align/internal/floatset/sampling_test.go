package floatset

import (
	"math"
	"math/rand/v2"
	"testing"
)

// slack is the least room left at v over all constraints.
func (s *Set) slack(v Vec) float64 {
	least := math.Inf(1)
	for i := range s.Constraints {
		f := &s.Constraints[i]
		least = math.Min(least, f.Radius-f.at(v))
	}
	return least
}

// sample draws a point of F by rejection from its box, false when F is too thin to hit.
func (s *Set) sample(rng *rand.Rand) (Vec, bool) {
	if s.Dim == 0 {
		return s.Vec(s.Base), true
	}
	var lo, hi [3]float64
	for k := range s.Dim {
		for _, sign := range [2]float64{-1, 1} {
			g := s.Span[k]
			v, err := s.Farthest(Vec{sign * g[0], sign * g[1], sign * g[2] * s.CharLength})
			if err != nil {
				return v, false
			}
			w := s.Scaled(v)
			t := 0.0
			for i := range 3 {
				t += (w[i] - s.Base[i]) * g[i]
			}
			if sign < 0 {
				lo[k] = t
			} else {
				hi[k] = t
			}
		}
	}
	for range 300 {
		var t [3]float64
		for k := range s.Dim {
			t[k] = lo[k] + (hi[k]-lo[k])*rng.Float64()
		}
		if v := s.AtSpan(t); s.Inside(v) {
			return v, true
		}
	}
	return Vec{}, false
}

// randomSet is the float of a pilot that may lean, of pins and flatted pins, off by hundredths of a
// millimetre.
func randomSet(rng *rand.Rand) *Set {
	s := &Set{}
	pilot, pins := rng.IntN(4) > 0, rng.IntN(3)
	if !pilot {
		pins = 2
	}
	s.Begin(pins > 0)
	if pilot {
		c := []float64{0, 0.02, 0.06, 0, 0.2}[rng.IntN(5)]
		lx, ly := 0.0, 0.0
		if rng.IntN(3) > 0 {
			lx, ly = 0.01*rng.NormFloat64(), 0.01*rng.NormFloat64()
		}
		s.AddRegister(c, lx, ly, math.Hypot(lx, ly) > c)
	}
	for d := range pins {
		sd := []float64{0.003, 0.02, 0.05}[rng.IntN(3)]
		x := [2]float64{80, -80}[d]
		f := Constraint{PX: sd * rng.NormFloat64(), PY: sd * rng.NormFloat64(), QX: -10, QY: x, Radius: 0.025 * rng.Float64(), Mark: d}
		if d == 1 && rng.IntN(2) == 0 {
			f.Slab, f.NX, f.NY = true, 0.1/math.Hypot(1, 0.1), 1/math.Hypot(1, 0.1)
		}
		s.Constraints = append(s.Constraints, f)
	}
	s.Measure()
	s.Aim(pilot)
	return s
}

// The least ε, the rest and the reach, against points drawn at random and a search by line after
// line.
func TestFloatSet_againstSampling(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	fouls, thin := 0, 0
	for trial := range 150 {
		for i := range 3 {
			set := randomSet(rng)
			if err := set.Prepare(); err != nil {
				t.Fatal(trial, err)
			}
			if set.Lack > 0 {
				fouls++
				set.checkLack(t, trial, rng)
			}
			rest, _ := set.Nearest()
			dist := func(v Vec) float64 {
				d := Vec{v.X - set.Target.X, v.Y - set.Target.Y, (v.G - set.Target.G) * set.CharLength}
				return math.Sqrt(d.X*d.X + d.Y*d.Y + d.G*d.G)
			}
			if set.slack(rest) < -1e-8 {
				t.Fatalf("trial %d set %d: rests %g outside", trial, i, -set.slack(rest))
			}
			g := Vec{rng.NormFloat64(), rng.NormFloat64(), 80 * rng.NormFloat64()}
			far, err := set.Farthest(g)
			if err != nil {
				t.Fatal(trial, err)
			}
			if set.slack(far) < -1e-8 {
				t.Fatalf("trial %d set %d: reaches %g outside", trial, i, -set.slack(far))
			}
			along := func(v Vec) float64 { return g.X*v.X + g.Y*v.Y + g.G*v.G }
			for range 40 {
				v, ok := set.sample(rng)
				if !ok {
					thin++
					break
				}
				if dist(v) < dist(rest)-1e-8 {
					t.Fatalf("trial %d set %d: %v is nearer than the rest %v", trial, i, v, rest)
				}
				if along(v) > along(far)+1e-7 {
					t.Fatalf("trial %d set %d: %v reaches farther than %v", trial, i, v, far)
				}
			}
		}
	}
	t.Logf("%d sets did not assemble, %d were too thin to sample", fouls, thin)
	if fouls == 0 {
		t.Error("no set that fouls was tried")
	}
}

// checkLack searches for a float that needs less relaxation than lack; rooms are already relaxed.
func (s *Set) checkLack(t *testing.T, trial int, rng *rand.Rand) {
	t.Helper()
	v := s.Base
	best := s.slack(s.Vec(v))
	if best < -1e-8 {
		t.Fatalf("trial %d: relaxed by %g, the float still lacks %g", trial, s.Lack, -best)
	}
	step := 0.05
	for range 150 {
		w := v
		for i := range 3 {
			w[i] += step * rng.NormFloat64()
		}
		if !s.Turns {
			w[2] = v[2]
		}
		if b := s.slack(s.Vec(w)); b > best {
			best, v = b, w
		} else {
			step = math.Max(step*0.97, 1e-7)
		}
	}
	if best > 1e-7 {
		t.Fatalf("trial %d: relaxed by %g, %g more than needed", trial, s.Lack, best)
	}
}

// The farthest point by closed forms, and the bound that takes no search, against the cone program:
// discs, lenses and slabs.
func TestSet_farthestAgainstCones(t *testing.T) {
	closed, slabs, covers, tried, followed := 0, 0, 0, 0, 0
	rng := rand.New(rand.NewPCG(4, 4))
	for trial := range 600 {
		s := randomSet(rng)
		if err := s.Prepare(); err != nil {
			t.Fatal(trial, err)
		}
		if s.Dim != 3 {
			continue
		}
		for range 4 {
			a := Vec{rng.NormFloat64(), rng.NormFloat64(), []float64{0, 1e-6, 1, 80}[rng.IntN(4)] * rng.NormFloat64()}
			v, ok := s.farthestOfSets(a)
			if !ok {
				continue
			}
			closed++
			for i := range s.sets {
				if s.sets[i].Slab {
					slabs++
					break
				}
			}
			size := math.Sqrt(a.X*a.X + a.Y*a.Y + a.G*a.G/s.CharLength/s.CharLength)
			g := aim{far: true}
			for c := range s.Dim {
				g.t[c] = (s.Span[c][0]*a.X + s.Span[c][1]*a.Y + s.Span[c][2]*a.G/s.CharLength) / size
			}
			w, err := s.byCones(&g)
			if err != nil {
				t.Fatal(err)
			}
			along := func(v Vec) float64 { return a.X*v.X + a.Y*v.Y + a.G*v.G }
			if math.Abs(along(v)-along(w)) > 1e-8*size || s.slack(v) < -1e-11 {
				t.Errorf("set %d: farthest %v (%.12g, %g outside), by cones %.12g", trial, v, along(v), -s.slack(v), along(w))
			}
			c, ok := s.Cover()
			if !ok {
				continue
			}
			covers++
			terms := s.Terms(a)
			for _, mu := range [3]float64{0, s.Multiplier(v, terms), rng.NormFloat64()} {
				if most := c.With(terms, mu); most < along(v)-1e-12*size {
					t.Errorf("set %d: with μ = %g the bound %.12g is below %.12g", trial, mu, most, along(v))
				}
			}
			if most := c.Least(terms); most < along(v)-1e-12*size {
				t.Errorf("set %d: the bound %.12g is below %.12g", trial, most, along(v))
			}
			if len(s.sets) > 2 || s.sets[0].lens || s.sets[1].lens {
				continue
			}
			// For the right multiplier the bound is the reach itself, and stays it to third order.
			mu := s.Multiplier(v, terms)
			if most := c.With(terms, mu); most > along(v)+1e-9*size {
				t.Errorf("set %d: with the right μ the bound is %.12g, the reach %.12g", trial, most, along(v))
			}
			const h = 1e-7
			d := Vec{rng.NormFloat64(), rng.NormFloat64(), s.CharLength * rng.NormFloat64()}
			b := Vec{a.X + h*d.X, a.Y + h*d.Y, a.G + h*d.G}
			w, _ = s.farthestOfSets(b)
			turned := (s.Multiplier(w, s.Terms(b)) - mu) / h
			tried++
			if follows := c.Follows(terms, s.Terms(d), mu); math.Abs(follows-turned) <= 1e-2*(1+math.Abs(turned)) {
				followed++
			}
		}
	}
	if followed < tried*9/10 || tried < 100 {
		t.Errorf("%d of %d multipliers follow the direction", followed, tried)
	}
	if closed < 100 || slabs < 30 || covers < 100 {
		t.Errorf("%d points by closed forms, %d beside slabs, %d covers", closed, slabs, covers)
	}
}
