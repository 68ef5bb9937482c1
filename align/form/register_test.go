package form_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/form"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

func register(t *testing.T, bore, spigot form.Outline, turn tolerance.Angle) form.RegisterFit {
	t.Helper()
	f, err := form.Register(bore, spigot, turn)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func oval(d, size tolerance.Length, clock tolerance.Angle) form.Outline {
	return form.Outline{Diameter: d, Lobes: []form.Lobe{{N: 2, Size: size, Clock: clock}}}
}

// Round in round: the clearance all round is the walk in every direction.
func TestRegister_round(t *testing.T) {
	f := register(t, form.Outline{Diameter: 100.06}, form.Outline{Diameter: 100}, 0.3)
	for _, e := range f.Envelope {
		if math.Abs(float64(e.Clearance)-0.06) > 1e-12 {
			t.Fatalf("at %v: %v", e.Clock, e.Clearance)
		}
		if w := f.Walk(e.Clock); math.Abs(float64(w)-0.06) > 1e-6 {
			t.Fatalf("walk at %v: %v", e.Clock, w)
		}
	}
	if !f.Fits || math.Abs(float64(f.Room)-0.03) > 1e-12 || math.Hypot(float64(f.X), float64(f.Y)) > 1e-9 {
		t.Errorf("%+v", f)
	}
}

// Ovals: aligned they clear most; crossed, the clearance is least across one axis. Source: hand calculation: an oval of radial size s is 4s wider one way than the other.
func TestRegister_ovals(t *testing.T) {
	bore, spigot := oval(100.08, 0.01, 0), oval(100, 0.01, 0)
	for _, c := range []struct {
		turn        tolerance.Angle
		least, room float64
	}{{0, 0.08, 0.04}, {90 * tolerance.Degree, 0.04, 0.02}, {45 * tolerance.Degree, 0.08 - 4*0.01*math.Sqrt2/2, 0.04 - 0.01*math.Sqrt2}} {
		f := register(t, bore, spigot, c.turn)
		if math.Abs(float64(f.Smallest.Clearance)-c.least) > 2e-6 || math.Abs(float64(f.Room)-c.room) > 1e-6 {
			t.Errorf("turned %v: smallest %v, room %v, want %v, %v", c.turn, f.Smallest.Clearance, f.Room, c.least, c.room)
		}
	}
	// Round bore, oval spigot: across the long axis it walks by what is left there; across the short one by more.
	f := register(t, form.Outline{Diameter: 100.08}, spigot, 0)
	if w := float64(f.Walk(0)); math.Abs(w-0.06) > 1e-6 {
		t.Errorf("walk along the long axis %v, want 0.06", w)
	}
	if w := float64(f.Walk(90 * tolerance.Degree)); w < 0.06 || w > 0.10 {
		t.Errorf("walk across it %v", w)
	}
}

// A three-lobed spigot measures round across every diameter, and still walks less than its diameter says. Source: Reuleaux's figure: odd lobes have constant width.
func TestRegister_threeLobes(t *testing.T) {
	f := register(t, form.Outline{Diameter: 100.06}, form.Outline{Diameter: 100, Lobes: []form.Lobe{{N: 3, Size: 0.02}}}, 0)
	for _, e := range f.Envelope {
		if math.Abs(float64(e.Clearance)-0.06) > 1e-12 {
			t.Fatalf("a micrometer would see %v at %v", e.Clearance, e.Clock)
		}
	}
	if math.Abs(float64(f.Room)-0.01) > 1e-6 {
		t.Errorf("room %v, want the round one's 0.03 less the lobes' 0.02", f.Room)
	}
	if f.MostWalk.Clearance >= 0.06 {
		t.Errorf("walks by %v", f.MostWalk.Clearance)
	}
}

// Interference: what every radius lacks; turning both turns the answer; no shift within the walk fouls, none just beyond is free.
func TestRegister_properties(t *testing.T) {
	f := register(t, form.Outline{Diameter: 99.98}, form.Outline{Diameter: 100}, 0)
	if f.Fits || math.Abs(float64(f.Room)+0.01) > 1e-12 || f.MostWalk.Clearance != 0 {
		t.Errorf("%+v", f)
	}
	r := rand.New(rand.NewPCG(1, 2))
	random := func(d tolerance.Length) form.Outline {
		o := form.Outline{Diameter: d}
		for n := 2; n < 6; n++ {
			o.Lobes = append(o.Lobes, form.Lobe{N: n, Size: tolerance.Length(0.004 * r.NormFloat64()), Clock: tolerance.Angle(6 * r.Float64())})
		}
		return o
	}
	for range 50 {
		bore, spigot := random(80.06), random(80)
		f := register(t, bore, spigot, 0.2)
		var most float64
		for _, e := range f.Envelope {
			w := float64(f.Walk(e.Clock))
			most = math.Max(most, w)
			if w > float64(e.Clearance)+1e-9 {
				t.Fatalf("walks %v where there is %v", w, e.Clearance)
			}
		}
		if math.Abs(most-float64(f.MostWalk.Clearance)) > 1e-12 || float64(f.LeastWalk.Clearance) > most || float64(f.Room) > float64(f.Smallest.Clearance)/2+1e-9 {
			t.Fatalf("%v: %+v", most, f)
		}
		// brute force over shifts
		gap := func(x, y float64) float64 {
			least := math.Inf(1)
			for i := range 720 {
				th := 2 * math.Pi * float64(i) / 720
				at := func(o form.Outline, th float64) float64 {
					v := float64(o.Diameter) / 2
					for _, l := range o.Lobes {
						v += float64(l.Size) * math.Cos(float64(l.N)*(th-float64(l.Clock)))
					}
					return v
				}
				least = math.Min(least, at(bore, th)-at(spigot, th-0.2)-x*math.Sin(th)-y*math.Cos(th))
			}
			return least
		}
		if g := gap(float64(f.X), float64(f.Y)); math.Abs(g-float64(f.Room)) > 1e-12 {
			t.Fatalf("at its best it has %v, not %v", g, f.Room)
		}
		for range 30 {
			if g := gap(0.05*r.NormFloat64(), 0.05*r.NormFloat64()); g > float64(f.Room)+1e-12 {
				t.Fatalf("a shift with %v, more than the best %v", g, f.Room)
			}
		}
	}
	for _, o := range []form.Outline{{}, {Diameter: 10, Lobes: []form.Lobe{{N: 1}}}, {Diameter: tolerance.Length(math.Inf(1))}} {
		if _, err := form.Register(o, form.Outline{Diameter: 10}, 0); !errors.Is(err, fault.ErrOutOfRange) {
			t.Errorf("%+v: %v", o, err)
		}
	}
}

// Two circles give a lean exactly; more by least squares. Source: hand calculation.
func TestLean(t *testing.T) {
	x, y, err := form.Lean([]r3.Vec{{X: 0.01, Z: 0}, {X: 0.01, Y: 0.002, Z: 20}}, []r3.Vec{{X: 1, Z: 5}, {X: 1.003, Z: 15}, {X: 1.006, Z: 25}})
	if err != nil || math.Abs(x-3e-4) > 1e-15 || math.Abs(y+1e-4) > 1e-15 {
		t.Errorf("lean %v, %v, %v", x, y, err)
	}
	if _, _, err := form.Lean([]r3.Vec{{}}, []r3.Vec{{}, {Z: 1}}); !errors.Is(err, fault.ErrTooFew) {
		t.Errorf("one circle: %v", err)
	}
	if _, _, err := form.AxisSlope([]r3.Vec{{X: 1}, {X: 2}}); !errors.Is(err, form.ErrCoincident) {
		t.Errorf("one depth: %v", err)
	}
}
