package align

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"example.com/borestack/align/internal/floatset"
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
		look := func(floats []floatset.Vec, what string) {
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
		floats := make([]floatset.Vec, len(k.seats))
		for range 60 {
			o.rest(floats)
			for _, l := range o.loose {
				if rng.IntN(2) == 0 {
					v, err := l.set.Uniform(floatset.Numbers{rng.Float64(), -1, -1})
					if err != nil {
						t.Fatal(err)
					}
					floats[l.joint] = v
					continue
				}
				v, err := l.set.Farthest(floatset.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), G: 80 * rng.NormFloat64()})
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
