package fits_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
	"example.com/borestack/tolerance/fits"
)

func near(got, want, relative float64) bool {
	return math.Abs(got-want) <= relative*math.Abs(want)
}

func ring(inner, outer, modulus, poisson, expansion float64) fits.Ring {
	return fits.Ring{Inner: tolerance.Length(inner), Outer: tolerance.Length(outer), Modulus: modulus, Poisson: poisson, Expansion: expansion}
}

func solved(t *testing.T, f fits.PressFit) fits.Pressed {
	t.Helper()
	p, err := f.Solve()
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Source: Shigley's Mechanical Engineering Design, press and shrink fits (formula from memory); numbers recomputed, the first exact.
func TestPressFit_Solve_reference(t *testing.T) {
	for _, c := range []struct {
		d, outer, inner, delta, eo, vo, ei, vi float64
		pressure, hub, sleeve                  float64
	}{
		{50, 100, 0, 0.05, 207000, 0.29, 207000, 0.29, 77.625, 129.375, -77.625},
		{40, 80, 20, 0.03, 71000, 0.33, 207000, 0.29, 21.568688199535597, 35.947813665893, -35.947813665893},
		{72, 90, 62, 0.02, 71000, 0.33, 207000, 0.30, 2.780314142894999, 12.665875539855, -18.731847822430},
	} {
		p := solved(t, fits.PressFit{[]fits.Ring{ring(c.inner, c.d, c.ei, c.vi, 0), ring(c.d, c.outer, c.eo, c.vo, 0)}, []fits.Interference{fits.Interference(c.delta)}})
		if got := p.Interfaces[0].Pressure; !near(got, c.pressure, 1e-12) {
			t.Errorf("%v in %v: pressure %.17g, want %.17g", c.d, c.outer, got, c.pressure)
		}
		if got := p.Rings[1].HoopBore; !near(got, c.hub, 1e-12) {
			t.Errorf("%v in %v: hub %.17g, want %.17g", c.d, c.outer, got, c.hub)
		}
		if got := p.Rings[0].HoopOutside; !near(got, c.sleeve, 1e-12) {
			t.Errorf("%v in %v: sleeve %.17g, want %.17g", c.d, c.outer, got, c.sleeve)
		}
	}
}

// Source: a public worked example of a shrink fit: steel sleeve 150 mm on a solid shaft of 100 mm, δ 0.1 mm, E 210 GPa, 50 mm long, μ 0.15: about 58.3 MPa, 151.7 MPa at the sleeve's bore, -58.3 MPa in the shaft, 6.87 kN·m.
func TestPressFit_Solve_published(t *testing.T) {
	p := solved(t, fits.PressFit{[]fits.Ring{ring(0, 100, 210e3, 0.3, 0), ring(100, 150, 210e3, 0.3, 0)}, []fits.Interference{0.1}})
	h, err := p.Interfaces[0].Hold(0.15, 50)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range [][3]float64{
		{p.Interfaces[0].Pressure, 58.3, 0.05},
		{p.Rings[1].HoopBore, 151.7, 0.05},
		{p.Rings[0].HoopOutside, -58.3, 0.05},
		{h.Torque / 1000, 6.87, 0.005},
	} {
		if math.Abs(c[0]-c[1]) > c[2] {
			t.Errorf("%v, want %v", c[0], c[1])
		}
	}
}

// A thin ring on a rigid shaft carries E δ/d and presses 2 t E δ/d²; what is left goes with the wall.
//
// Source: hand calculation: thin ring, hoop stress p d/(2 t), strain δ/d.
func TestPressFit_Solve_thinRing(t *testing.T) {
	const d, delta, e = 60.0, 0.03, 206000.0
	for _, wall := range []float64{1e-2, 1e-3, 1e-4} {
		p := solved(t, fits.PressFit{[]fits.Ring{ring(0, d, 1e18, 0.3, 0), ring(d, d+2*wall, e, 0.3, 0)}, []fits.Interference{delta}})
		if got, want := p.Rings[1].HoopBore, e*delta/d; !near(got, want, 2*wall/d) {
			t.Errorf("wall %v: hoop %v, want %v", wall, got, want)
		}
		if got, want := p.Interfaces[0].Pressure, 2*wall*e*delta/(d*d); !near(got, want, 4*wall/d) {
			t.Errorf("wall %v: pressure %v, want %v", wall, got, want)
		}
	}
}

// Source: hand calculation: one material, solid shaft: p = E δ (1 - d²/D²)/(2 d), the outside grows by δ d/D, and the shaft is under p all over; a vanishing bore doubles the hoop stress there and nothing else.
func TestPressFit_Solve_solidShaft(t *testing.T) {
	const d, outer, delta, e, v = 30.0, 41.0, 0.018, 206000.0, 0.3
	fit := func(bore float64) fits.Pressed {
		return solved(t, fits.PressFit{[]fits.Ring{ring(bore, d, e, v, 0), ring(d, outer, e, v, 0)}, []fits.Interference{delta}})
	}
	p := fit(0)
	want := e * delta * (1 - d*d/(outer*outer)) / (2 * d)
	if !near(p.Interfaces[0].Pressure, want, 1e-14) || !near(float64(p.Rings[1].Outside.Total()), delta*d/outer, 1e-14) {
		t.Errorf("%+v, want %v and %v", p, want, delta*d/outer)
	}
	if p.Rings[0].HoopBore != -p.Interfaces[0].Pressure || p.Rings[0].HoopOutside != -p.Interfaces[0].Pressure || p.Rings[0].Bore != (fits.Change{}) {
		t.Errorf("the shaft is not under even pressure: %+v", p.Rings[0])
	}
	if pin := fit(1e-6); !near(pin.Rings[0].HoopBore, -2*want, 1e-9) || !near(pin.Interfaces[0].Pressure, want, 1e-9) || !near(pin.Rings[0].HoopOutside, -want, 1e-9) {
		t.Errorf("a vanishing bore: %+v", pin)
	}
}

// Three rings of one material, against pressing them together in two steps.
//
// Source: hand calculation: after the first step the middle ring has grown, which adds to the second interference; the two rings then are one ring of their material, in which the outer pressure p makes the radial stress -p b²/(b² - a²) (1 - a²/r²) (Lamé).
func TestPressFit_Solve_twoSteps(t *testing.T) {
	const a, b, c, d, e, v = 20.0, 35.0, 52.0, 80.0, 110000.0, 0.26
	const first, second = 0.021, 0.034
	pressure := func(inner, at, outer, delta float64) float64 {
		return delta / (at / e * ((outer*outer+at*at)/(outer*outer-at*at) + (at*at+inner*inner)/(at*at-inner*inner)))
	}
	p1 := pressure(a, b, c, first)
	growth := c * 2 * p1 * b * b / (c*c - b*b) / e
	p2 := pressure(a, c, d, second+growth)
	p1 += p2 * c * c / (c*c - a*a) * (1 - a*a/(b*b))
	got := solved(t, fits.PressFit{[]fits.Ring{ring(a, b, e, v, 0), ring(b, c, e, v, 0), ring(c, d, e, v, 0)}, []fits.Interference{first, second}})
	if !near(got.Interfaces[0].Pressure, p1, 1e-13) || !near(got.Interfaces[1].Pressure, p2, 1e-13) {
		t.Errorf("%v and %v, want %v and %v", got.Interfaces[0].Pressure, got.Interfaces[1].Pressure, p1, p2)
	}
}

// stackOf makes a press fit of n rings: walls thick and thin, light and heavy metals, at any temperature, tight and loose.
func stackOf(rng *rand.Rand, n int) fits.PressFit {
	var f fits.PressFit
	d := 0.0
	if rng.IntN(2) == 0 {
		d = 5 + 30*rng.Float64()
	}
	for i := range n {
		next := d + 2*math.Exp(rng.Float64()*4-1) + 1
		r := ring(d, next, 4e4+1.8e5*rng.Float64(), 0.2+0.15*rng.Float64(), 1e-5+1.6e-5*rng.Float64())
		if rng.IntN(2) == 0 {
			r = r.At(tolerance.Celsius(200*rng.Float64() - 60))
		}
		f.Rings = append(f.Rings, r)
		if i > 0 {
			f.Interferences = append(f.Interferences, fits.Interference(d*1e-3*(1.6*rng.Float64()-0.6)))
		}
		d = next
	}
	return f
}

// The laws that make the answer the only one: no tension, no overlap, pressure or gap but not both; every wall in balance; what touches has one diameter.
func TestPressFit_Solve_laws(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 58))
	open, closed := 0, 0
	for trial := range 3000 {
		f := stackOf(rng, 2+trial%4)
		p := solved(t, f)
		for i, at := range p.Interfaces {
			d := float64(at.Diameter)
			in, out := p.Rings[i].Outside.Total(), p.Rings[i+1].Bore.Total()
			if gap := float64(out-in) - float64(f.Interferences[i]); math.Abs(gap-float64(at.Gap)) > 1e-13*d {
				t.Fatalf("trial %d: the rings at %d are %v apart, not %v", trial, i, gap, at.Gap)
			}
			if at.Pressure < 0 || at.Gap < 0 || at.Pressure > 0 && at.Gap > 0 || at.Open() == (at.Pressure > 0) {
				t.Fatalf("trial %d: pressure %v with gap %v", trial, at.Pressure, at.Gap)
			}
			if at.Open() {
				open++
			} else {
				closed++
			}
		}
		// The hoop stress A + B/r², through its ends, carries what the pressures push the halves apart with.
		for i, r := range f.Rings {
			a, b := float64(r.Inner)/2, float64(r.Outer)/2
			if a == 0 {
				continue
			}
			var inside, outside float64
			if i > 0 {
				inside = p.Interfaces[i-1].Pressure
			}
			if i < len(p.Interfaces) {
				outside = p.Interfaces[i].Pressure
			}
			s := p.Rings[i]
			bb := (s.HoopBore - s.HoopOutside) / (1/(a*a) - 1/(b*b))
			aa := s.HoopBore - bb/(a*a)
			load := inside*a - outside*b
			size := (math.Abs(s.HoopBore) + math.Abs(s.HoopOutside) + inside + outside) * b * b / (b - a)
			if got := aa*(b-a) + bb*(1/a-1/b); math.Abs(got-load) > 1e-12*size {
				t.Fatalf("trial %d: ring %d carries %v of %v", trial, i, got, load)
			}
		}
		// A tighter fit lowers no pressure.
		k := rng.IntN(len(f.Interferences))
		f.Interferences[k] += 0.001
		for i, at := range solved(t, f).Interfaces {
			if at.Pressure < p.Interfaces[i].Pressure-1e-9*(1+p.Interfaces[i].Pressure) {
				t.Fatalf("trial %d: interface %d falls from %v to %v as %d gets tighter", trial, i, p.Interfaces[i].Pressure, at.Pressure, k)
			}
		}
	}
	if open < 500 || closed < 2000 {
		t.Error(open, "open and", closed, "closed: the trials do not cover both")
	}
}

// What one interface feels of the other's interference goes both ways: d p is the force that works on a change of diameter.
//
// Source: Betti 1872, reciprocal theorem.
func TestPressFit_Solve_reciprocity(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 58))
	for range 300 {
		f := stackOf(rng, 3)
		for i := range f.Rings {
			f.Rings[i].Temperature = tolerance.Optional[tolerance.Celsius]{}
		}
		forces := func(first, second fits.Interference) [2]float64 {
			f.Interferences = []fits.Interference{first, second}
			p := solved(t, f)
			return [2]float64{float64(p.Interfaces[0].Diameter) * p.Interfaces[0].Pressure, float64(p.Interfaces[1].Diameter) * p.Interfaces[1].Pressure}
		}
		both, one, other := forces(0.002, 0.002), forces(0.003, 0.002), forces(0.002, 0.003)
		if both[0] == 0 || both[1] == 0 {
			t.Fatal("not in contact")
		}
		if a, b := other[0]-both[0], one[1]-both[1]; math.Abs(a-b) > 1e-11*(math.Abs(one[0])+math.Abs(other[1])) {
			t.Errorf("%v by the second at the first, %v by the first at the second", a, b)
		}
	}
}

// Warmth is an interference: α ΔT d of the inner less that of the outer ring; one temperature on one material changes sizes and nothing else.
func TestPressFit_Solve_warmth(t *testing.T) {
	steel, light := ring(0, 72, 206000, 0.29, 11.5e-6), ring(72, 110, 71000, 0.33, 21.8e-6)
	cold := solved(t, fits.PressFit{[]fits.Ring{steel, light}, []fits.Interference{fits.Interference(0.05 + 72*(11.5e-6*30-21.8e-6*60))}})
	warm := solved(t, fits.PressFit{[]fits.Ring{steel.At(50), light.At(80)}, []fits.Interference{0.05}})
	if !near(warm.Interfaces[0].Pressure, cold.Interfaces[0].Pressure, 1e-12) {
		t.Errorf("%v, want %v", warm.Interfaces[0], cold.Interfaces[0])
	}
	// Source: hand calculation: 110 mm × 21.8e-6/K × 60 K = 0.14388 mm.
	if got := float64(warm.Rings[1].Outside.Warmed); !near(got, 0.14388, 1e-12) {
		t.Error(got)
	}
	sleeve := ring(72, 90, 206000, 0.29, 11.5e-6)
	a := solved(t, fits.PressFit{[]fits.Ring{steel, sleeve}, []fits.Interference{0.05}})
	b := solved(t, fits.PressFit{[]fits.Ring{steel.At(200), sleeve.At(200)}, []fits.Interference{0.05}})
	if a.Interfaces[0].Pressure != b.Interfaces[0].Pressure || a.Rings[1].HoopBore != b.Rings[1].HoopBore {
		t.Error("one steel, evenly warm, presses differently:", a, b)
	}
}

// Source: hand calculation: 77.625 N/mm² on 50 mm over 40 mm, μ 0.12: 0.12 × 77.625 × π × 50 × 40 = 58528 N and × 25 mm = 1463.2 N·m.
func TestInterface_Hold(t *testing.T) {
	at := fits.Interface{Diameter: 50, Pressure: 77.625}
	h, err := at.Hold(0.12, 40)
	if err != nil || !near(h.Force, 18630*math.Pi, 1e-14) || !near(h.Torque, 465.75*math.Pi, 1e-14) {
		t.Error(h, err)
	}
	if h, err := (fits.Interface{Diameter: 50, Gap: 0.1}).Hold(0.12, 40); err != nil || h != (fits.Hold{}) {
		t.Error("an open fit holds", h, err)
	}
	for _, c := range []struct {
		friction, length float64
		class            error
	}{{-0.1, 40, fault.ErrOutOfRange}, {0.1, -40, fault.ErrOutOfRange}, {math.NaN(), 40, fault.ErrNotFinite}, {0.1, math.Inf(1), fault.ErrNotFinite}} {
		if h, err := at.Hold(c.friction, tolerance.Length(c.length)); !errors.Is(err, c.class) || h != (fits.Hold{}) {
			t.Errorf("%+v: %v, %v", c, h, err)
		}
	}
}

func TestPressFit_faults(t *testing.T) {
	good := func() fits.PressFit {
		return fits.PressFit{[]fits.Ring{ring(0, 50, 206000, 0.29, 11.5e-6), ring(50, 70, 206000, 0.29, 11.5e-6), ring(70, 100, 71000, 0.33, 21.8e-6)}, []fits.Interference{0.03, 0.04}}
	}
	if err := good().Validate(); err != nil {
		t.Fatal(err)
	}
	nan := math.NaN()
	for _, c := range []struct {
		spoil func(f *fits.PressFit)
		class error
		words string
	}{
		{func(f *fits.PressFit) { *f = fits.PressFit{} }, fault.ErrMissing, "/rings: 0: missing: want two rings"},
		{func(f *fits.PressFit) { f.Rings = f.Rings[:1] }, fault.ErrMissing, "/rings: 1"},
		{func(f *fits.PressFit) { f.Interferences = f.Interferences[:1] }, fault.ErrConflict, "/interferences: 1: conflict: want 2"},
		{func(f *fits.PressFit) { f.Rings[1].Inner = 50.03 }, fault.ErrConflict, "/rings/1/inner: 50.03 mm: conflict: want 50 mm"},
		{func(f *fits.PressFit) { f.Rings[1].Outer = 40 }, fault.ErrOutOfRange, "/rings/1/outer: 40 mm"},
		{func(f *fits.PressFit) { f.Rings[0].Inner = -1 }, fault.ErrOutOfRange, "/rings/0/inner: -1 mm"},
		{func(f *fits.PressFit) { f.Rings[0].Inner = 50 }, fault.ErrOutOfRange, "/rings/0/outer: 50 mm"},
		{func(f *fits.PressFit) { f.Rings[2].Outer = tolerance.Length(math.Inf(1)) }, fault.ErrNotFinite, "/rings/2/outer"},
		{func(f *fits.PressFit) { f.Rings[2].Modulus = 0 }, fault.ErrOutOfRange, "/rings/2/modulus: 0 N/mm²"},
		{func(f *fits.PressFit) { f.Rings[2].Modulus = nan }, fault.ErrNotFinite, "/rings/2/modulus"},
		{func(f *fits.PressFit) { f.Rings[0].Poisson = 0.51 }, fault.ErrOutOfRange, "/rings/0/poisson"},
		{func(f *fits.PressFit) { f.Rings[0].Expansion = 11.5 }, fault.ErrOutOfRange, "such as 11.5e-6"},
		{func(f *fits.PressFit) { f.Rings[0] = f.Rings[0].At(-300) }, fault.ErrOutOfRange, "/rings/0/temperature"},
		{func(f *fits.PressFit) { f.Rings[0] = f.Rings[0].At(tolerance.Celsius(nan)) }, fault.ErrNotFinite, "/rings/0/temperature"},
		{func(f *fits.PressFit) { f.Interferences[1] = 40 }, fault.ErrOutOfRange, "/interferences/1: 40 mm: out of range: want at most 0.7"},
		{func(f *fits.PressFit) { f.Interferences[1] = fits.Interference(nan) }, fault.ErrNotFinite, "/interferences/1"},
		{func(f *fits.PressFit) { f.Interferences[1] = fits.Interference(math.Inf(-1)) }, fault.ErrNotFinite, "/interferences/1"},
	} {
		f := good()
		c.spoil(&f)
		p, err := f.Solve()
		var wrong *fault.FieldError
		if !errors.Is(err, c.class) || !errors.As(err, &wrong) || !strings.Contains(err.Error(), c.words) || p.Rings != nil || p.Interfaces != nil {
			t.Errorf("want %v with %q, got %v, %v", c.class, c.words, err, p)
		}
	}
	f := good()
	f.Rings[0].Modulus, f.Rings[2].Poisson = -1, 2
	if err := f.Validate(); err == nil || !strings.Contains(err.Error(), "/rings/0/modulus") || !strings.Contains(err.Error(), "/rings/2/poisson") {
		t.Error("not every fault is named:", err)
	}
	if _, err := fits.RingOf(tolerance.Material{Name: "wood", Expansion: 5e-6}, 0, 30); !errors.Is(err, fault.ErrMissing) || !strings.Contains(err.Error(), "wood") {
		t.Error(err)
	}
}

// Numbers at the ends of float64 give an answer or an error, never a NaN.
func TestPressFit_Solve_extremes(t *testing.T) {
	for _, e := range []float64{1e-300, 1, 1e300} {
		for _, d := range []float64{1e-300, 1e-160, 1, 1e150, 1e300} {
			f := fits.PressFit{[]fits.Ring{ring(0, d, e, 0.3, 0), ring(d, d*(1+1e-15), 1/e, 0.3, 0)}, []fits.Interference{fits.Interference(d * 0.01)}}
			p, err := f.Solve()
			if err != nil {
				if !errors.Is(err, fault.ErrOutOfRange) {
					t.Error(e, d, err)
				}
				continue
			}
			for _, r := range p.Rings {
				for _, v := range []float64{r.HoopBore, r.HoopOutside, float64(r.Bore.Total()), float64(r.Outside.Total())} {
					if math.IsNaN(v) || math.IsInf(v, 0) {
						t.Errorf("E %v, d %v: %+v", e, d, p)
					}
				}
			}
		}
	}
}

func BenchmarkPressFit_Solve(b *testing.B) {
	for n := 2; n <= 4; n++ {
		b.Run(fmt.Sprintf("rings=%d", n), func(b *testing.B) {
			f := stackOf(rand.New(rand.NewPCG(1, 58)), n)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := f.Solve(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
