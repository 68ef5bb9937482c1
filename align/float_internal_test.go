package align

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/tolerance"
)

// randomStack is a few parts with every kind of joint, off by hundredths of a millimetre and tenths of a milliradian.
func randomStack(rng *rand.Rand) Stack {
	mm := func(sd float64) tolerance.Length { return tolerance.Length(sd * rng.NormFloat64()) }
	slope := func(sd float64) Slope { return Slope{sd * rng.NormFloat64(), sd * rng.NormFloat64()} }
	vec := func(x, y, sd float64) Vec2 { return Vec2{tolerance.Length(x) + mm(sd), tolerance.Length(y) + mm(sd)} }
	n := 2 + rng.IntN(3)
	var s Stack
	for i := range n {
		p := Part{Name: fmt.Sprintf("p%d", i), Bores: []Bore{
			{Name: "a", Centre: Vec3{mm(0.02), mm(0.02), 10}, Slope: slope(2e-4)},
			{Name: "c", Centre: Vec3{-60 + mm(0.02), -50 + mm(0.02), 12}},
		}}
		if i > 0 {
			p.Front = &Face{Z: mm(1), Slope: slope(3e-4), Diameter: tolerance.Given(tolerance.Length(210))}
		}
		if i < n-1 {
			p.Rear = &Face{Z: tolerance.Length(80 + 100*rng.Float64()), Slope: slope(3e-4), Diameter: tolerance.Given(tolerance.Length(220))}
		}
		s.Parts = append(s.Parts, p)
	}
	for i := range n - 1 {
		a, b := s.Parts[i].Rear, s.Parts[i+1].Front
		var j Joint
		pilot := rng.IntN(4) > 0
		if pilot {
			c := []tolerance.Length{0, 0.02, 0.06, -0.01, 0.2}[rng.IntN(5)]
			a.Pilot = &Pilot{Kind: PilotBore, Centre: vec(0, 0, 0.01), Diameter: 150 + c}
			b.Pilot = &Pilot{Kind: Spigot, Centre: vec(0, 0, 0.01), Diameter: 150}
			if rng.IntN(2) == 0 {
				a.Pilot.Kind, b.Pilot.Kind = Spigot, PilotBore
				a.Pilot.Diameter, b.Pilot.Diameter = 150, 150+c
			}
			if rng.IntN(2) == 0 {
				j.Engagement = tolerance.Given(tolerance.Length(5 + 40*rng.Float64()))
				if rng.IntN(3) > 0 { // else both are square to their faces, and lean by rounding alone
					b.Pilot.Slope = tolerance.Given(slope(4e-4))
				}
			}
		}
		pins := rng.IntN(3)
		if !pilot {
			pins = 2
		}
		for d := range pins {
			at := [2]float64{80, -80}[d]
			name := fmt.Sprintf("d%d", d)
			sd := []float64{0.003, 0.02, 0.05}[rng.IntN(3)]
			a.Dowels = append(a.Dowels, Dowel{name, vec(at, 10, sd/2), 8})
			b.Dowels = append(b.Dowels, Dowel{name, vec(at, 10, sd/2), 8 + tolerance.Length(0.05*rng.Float64())})
			pin := Pin{Dowel: name, Diameter: 8}
			if d == 1 && rng.IntN(2) == 0 {
				pin.Locates = tolerance.Given(Slope{0.1, 1})
			}
			if rng.IntN(4) == 0 {
				pin.Step = vec(0, 0, 0.01)
			}
			j.Pins = append(j.Pins, pin)
		}
		if rng.IntN(4) == 0 {
			j.Clock = tolerance.Angle(rng.Float64() * 0.01)
		}
		s.Joints = append(s.Joints, j)
	}
	clear := func() tolerance.Diametral { return tolerance.Diametral(0.03 + 0.2*rng.Float64()) }
	sh := Shaft{Name: "main"}
	for i := range n {
		sh.Supports = append(sh.Supports, Support{Bore: s.Parts[i].Name + "/a", Clearance: clear()})
		if rng.IntN(3) == 0 {
			sh.Supports[i].Kind, sh.Supports[i].Width = Bush, 20
		}
	}
	s.Shafts = append(s.Shafts, sh, Shaft{Name: "counter", Supports: []Support{
		{Bore: "p0/c", Clearance: clear()}, {Bore: s.Parts[n-1].Name + "/c", Clearance: clear()},
	}})
	return s
}

// slack is the least room left at v over all fences.
func (s *floatSet) slack(v float3) float64 {
	least := math.Inf(1)
	for i := range s.fences {
		f := &s.fences[i]
		least = math.Min(least, f.room-f.at(v))
	}
	return least
}

// sample draws a point of F by rejection from its box, false when F is too thin to hit.
func (s *floatSet) sample(rng *rand.Rand) (float3, bool) {
	if s.dim == 0 {
		return s.plain(s.base), true
	}
	var lo, hi [3]float64
	for k := range s.dim {
		for _, sign := range [2]float64{-1, 1} {
			g := s.span[k]
			v, err := s.farthest(float3{sign * g[0], sign * g[1], sign * g[2] * s.lever})
			if err != nil {
				return v, false
			}
			w := s.scaled(v)
			t := 0.0
			for i := range 3 {
				t += (w[i] - s.base[i]) * g[i]
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
		for k := range s.dim {
			t[k] = lo[k] + (hi[k]-lo[k])*rng.Float64()
		}
		if v := s.atSpan(t[:]); s.inside(v) {
			return v, true
		}
	}
	return float3{}, false
}

// The least ε, the rest and the reach, against points drawn at random and a search by line after line.
func TestFloatSet_againstSampling(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	fouls, thin := 0, 0
	for trial := range 150 {
		s := randomStack(rng)
		if s.Validate() != nil {
			continue
		}
		k := newKernel(s, newLayout(&s))
		if err := k.solve(); err != nil {
			t.Fatal(trial, err)
		}
		for i := range k.flush {
			set := &k.flush[i].set
			if len(set.fences) == 0 {
				continue
			}
			if set.lack > 0 {
				fouls++
				set.checkLack(t, trial, rng)
			}
			rest, _ := set.nearest()
			dist := func(v float3) float64 {
				d := float3{v.x - set.target.x, v.y - set.target.y, (v.g - set.target.g) * set.lever}
				return math.Sqrt(d.x*d.x + d.y*d.y + d.g*d.g)
			}
			if set.slack(rest) < -1e-8 {
				t.Fatalf("trial %d joint %d: rests %g outside", trial, i, -set.slack(rest))
			}
			g := float3{rng.NormFloat64(), rng.NormFloat64(), 80 * rng.NormFloat64()}
			far, err := set.farthest(g)
			if err != nil {
				t.Fatal(trial, err)
			}
			if set.slack(far) < -1e-8 {
				t.Fatalf("trial %d joint %d: reaches %g outside", trial, i, -set.slack(far))
			}
			along := func(v float3) float64 { return g.x*v.x + g.y*v.y + g.g*v.g }
			for range 40 {
				v, ok := set.sample(rng)
				if !ok {
					thin++
					break
				}
				if dist(v) < dist(rest)-1e-8 {
					t.Fatalf("trial %d joint %d: %v is nearer than the rest %v", trial, i, v, rest)
				}
				if along(v) > along(far)+1e-7 {
					t.Fatalf("trial %d joint %d: %v reaches farther than %v", trial, i, v, far)
				}
			}
		}
	}
	t.Logf("%d joints did not assemble, %d were too thin to sample", fouls, thin)
	if fouls == 0 {
		t.Error("no joint that fouls was tried")
	}
}

// checkLack searches for a float that needs less relaxation than lack; rooms are already relaxed.
func (s *floatSet) checkLack(t *testing.T, trial int, rng *rand.Rand) {
	t.Helper()
	v := s.base
	best := s.slack(s.plain(v))
	if best < -1e-8 {
		t.Fatalf("trial %d: relaxed by %g, the float still lacks %g", trial, s.lack, -best)
	}
	step := 0.05
	for range 150 {
		w := v
		for i := range 3 {
			w[i] += step * rng.NormFloat64()
		}
		if !s.turns {
			w[2] = v[2]
		}
		if b := s.slack(s.plain(w)); b > best {
			best, v = b, w
		} else {
			step = math.Max(step*0.97, 1e-7)
		}
	}
	if best > 1e-7 {
		t.Fatalf("trial %d: relaxed by %g, %g more than needed", trial, s.lack, best)
	}
}

// Use and margin over the float: nothing drawn at random is beyond the ends, and a climb from many random corners finds nothing worse than the worst.
func TestOver_againstSampling(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 10))
	checked := 0
	for trial := range 60 {
		s := randomStack(rng)
		if s.Validate() != nil {
			continue
		}
		k := newKernel(s, newLayout(&s))
		if err := k.solve(); err != nil {
			t.Fatal(trial, err)
		}
		o := k.newOver()
		if len(o.loose) == 0 {
			continue
		}
		use, err := k.line.Utilisation()
		if err != nil {
			t.Fatal(err)
		}
		margin, err := k.line.Margin()
		if err != nil {
			t.Fatal(err)
		}
		r, err := k.lineRange(use, -margin)
		if err != nil {
			t.Fatal(trial, err)
		}
		checked++
		look := func(floats []float3, what string) {
			k.placeAt(floats)
			use, err := k.line.Utilisation()
			if err != nil {
				t.Fatal(err)
			}
			m, err := k.line.Margin()
			if err != nil {
				t.Fatal(err)
			}
			if m < float64(r.WorstMargin)-2e-8 || m > float64(r.BestMargin)+2e-8 {
				t.Fatalf("trial %d: %s has margin %v outside [%v, %v]", trial, what, m, float64(r.WorstMargin), float64(r.BestMargin))
			}
			if use > r.WorstUse.Value*(1+2e-7)+1e-9 || use < r.BestUse.Value*(1-2e-6)-1e-7 {
				t.Fatalf("trial %d: %s has use %v outside [%v, %v]", trial, what, use, r.BestUse.Value, r.WorstUse.Value)
			}
		}
		floats := make([]float3, len(k.seats))
		for range 60 {
			o.rest(floats)
			for _, l := range o.loose {
				if rng.IntN(2) == 0 {
					if v, ok := l.set.sample(rng); ok {
						floats[l.joint] = v
					}
					continue
				}
				v, err := l.set.farthest(float3{rng.NormFloat64(), rng.NormFloat64(), 80 * rng.NormFloat64()})
				if err != nil {
					t.Fatal(err)
				}
				floats[l.joint] = v
			}
			look(floats, "a random float")
		}
	}
	if checked < 25 {
		t.Errorf("only %d stacks floated", checked)
	}
}
